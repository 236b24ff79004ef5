"""Packs made before now are laid where they are, and the tables that were made anew are guarded again."""

from __future__ import annotations

from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from gambrel.shop.records import guards

TABLES = ("pack", "packevent", "lothold", "drillfind")

HERE = """
INSERT INTO records_onhand (pack_id, lot_id, slug, net_kg, use_by, place, since)
SELECT pack.id, pack.lot_id, pack.slug, pack.net_kg, pack.use_by,
       CASE WHEN pack.frozen THEN 'freezer' ELSE 'case' END, pack.at
FROM records_pack pack
WHERE COALESCE((SELECT event.what FROM records_packevent event WHERE event.pack_id = pack.id
                ORDER BY event.at DESC, event.id DESC LIMIT 1), 'returned') = 'returned'
"""


def lay(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    schema_editor.execute(HERE)
    guards.guard(schema_editor, *TABLES)


def take_up(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guards.unguard(schema_editor, "lothold", "drillfind")
    schema_editor.execute("DELETE FROM records_onhand")


class Migration(migrations.Migration):
    dependencies = (("records", "0005_packs_on_hand"),)
    operations = (migrations.RunPython(lay, take_up),)
