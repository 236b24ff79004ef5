"""The database itself refuses to change or take away a line that is written once."""

from __future__ import annotations

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from gambrel.shop.records import guards

TABLES = ("coolerreading", "sidemove", "weighing", "photograph", "facereading", "faceaccepted", "scaleweight",
          "pack", "packevent", "pricelist", "price", "auditline")  # fmt: skip


def guard(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(
            "CREATE FUNCTION records_written_once() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '% {guards.SAID}', TG_TABLE_NAME USING ERRCODE = '23000'; END $$",
            params=None,  # so that the sign in the sentence is no place for a value
        )
    guards.guard(schema_editor, *TABLES)


def unguard(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guards.unguard(schema_editor, *TABLES)
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute("DROP FUNCTION records_written_once()")


class Migration(migrations.Migration):
    dependencies = (("records", "0001_initial"),)
    operations = (migrations.RunPython(guard, unguard),)
