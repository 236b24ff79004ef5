"""The guards in the database of tables whose lines are written once: put there by migrations, never by hand."""

from __future__ import annotations

from django.db.backends.base.schema import BaseDatabaseSchemaEditor

SAID = "lines are written once: add a line that corrects this one"
CHANGES = ("UPDATE", "DELETE")


def guard(schema_editor: BaseDatabaseSchemaEditor, *tables: str) -> None:
    """Nobody changes or takes away a line of these tables; a guard that is there already is made anew.

    A table of SQLite that a migration makes anew loses its guards, and is guarded again afterwards.
    """
    vendor = schema_editor.connection.vendor
    unguard(schema_editor, *tables)
    for table in tables:
        for change in CHANGES:
            if vendor == "sqlite":
                does = f"BEGIN SELECT RAISE(ABORT, 'records_{table} {SAID}'); END"
            elif vendor == "postgresql":
                does = "FOR EACH ROW EXECUTE FUNCTION records_written_once()"
            else:
                raise NotImplementedError(f"no guard is written for {vendor}; use SQLite or PostgreSQL")
            name = f"records_{table}_no_{change.lower()}"
            schema_editor.execute(f"CREATE TRIGGER {name} BEFORE {change} ON records_{table} {does}")


def unguard(schema_editor: BaseDatabaseSchemaEditor, *tables: str) -> None:
    on_table = schema_editor.connection.vendor == "postgresql"
    for table in tables:
        for change in CHANGES:
            on = f" ON records_{table}" if on_table else ""
            schema_editor.execute(f"DROP TRIGGER IF EXISTS records_{table}_no_{change.lower()}{on}")
