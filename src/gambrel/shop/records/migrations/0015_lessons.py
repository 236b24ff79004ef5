"""What sides taught and were forecast to give; all lines guarded."""

import django.db.models.deletion
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from gambrel.shop.records import guards

TABLES = ("lesson", "sideforecast")


def guard(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guards.guard(schema_editor, *TABLES)


def unguard(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guards.unguard(schema_editor, *TABLES)


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0014_species_on_hand"),
    ]

    operations = [
        migrations.CreateModel(
            name="Lesson",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("test", models.JSONField(null=True)),
                ("chain", models.CharField(max_length=64)),
                (
                    "cutting",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lessons",
                        to="records.cutting",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="SideForecast",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("at", models.DateTimeField()),
                ("edition", models.CharField(max_length=12)),
                ("asked", models.JSONField()),
                ("told", models.JSONField()),
                (
                    "lesson",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.lesson",
                    ),
                ),
                (
                    "side",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="forecasts",
                        to="records.side",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["side", "-id"], name="records_sid_side_id_91c2ff_idx")],
            },
        ),
        migrations.RunPython(guard, unguard),
    ]
