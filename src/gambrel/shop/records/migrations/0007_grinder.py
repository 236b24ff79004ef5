"""The grinder: bought trim, tubs, clean-ups, batches and what went into them, fat tests; all lines guarded."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import StateApps

from gambrel.shop.records import guards

TABLES = ("boughttrim", "tubevent", "cleanup", "batchinput", "leantest")


def guard(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guards.guard(schema_editor, *TABLES)


def unguard(apps: StateApps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    guards.unguard(schema_editor, *TABLES)


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0006_packs_here"),
    ]

    operations = [
        migrations.CreateModel(
            name="Batch",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("code", models.CharField(max_length=20, unique=True)),
                ("name", models.CharField(max_length=30)),
                ("lean_pct", models.FloatField()),
                ("inspected", models.CharField(max_length=10)),
                ("owner_name", models.CharField(blank=True, max_length=80)),
                ("asked", models.JSONField(default=list)),
                ("begun_at", models.DateTimeField(db_index=True)),
                ("ended_at", models.DateTimeField(db_index=True, null=True)),
                ("out_kg", models.DecimalField(decimal_places=3, max_digits=7, null=True)),
                ("meat_c", models.FloatField(null=True)),
                ("plate_mm", models.FloatField(null=True)),
                ("why", models.CharField(blank=True, max_length=200)),
                (
                    "begun_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "ended_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.AddField(
            model_name="lot",
            name="batch",
            field=models.OneToOneField(
                null=True, on_delete=django.db.models.deletion.PROTECT, related_name="lot", to="records.batch"
            ),
        ),
        migrations.CreateModel(
            name="BoughtTrim",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("slug", models.CharField(max_length=60)),
                ("species", models.CharField(max_length=10)),
                ("inspected", models.CharField(max_length=10)),
                ("weight_kg", models.DecimalField(decimal_places=3, max_digits=7)),
                ("lean_pct", models.FloatField()),
                ("establishment", models.CharField(max_length=40)),
                ("supplier_lot", models.CharField(max_length=60)),
                ("made_on", models.DateField()),
                ("cost_cents_per_kg", models.FloatField(default=0)),
                ("at", models.DateTimeField(db_index=True)),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="BatchInput",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("weight_kg", models.DecimalField(decimal_places=3, max_digits=7)),
                ("typed", models.CharField(max_length=30)),
                ("lean_pct", models.FloatField()),
                ("at", models.DateTimeField()),
                ("taken_out", models.BooleanField(default=False)),
                ("why", models.CharField(blank=True, max_length=200)),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="inputs", to="records.batch"
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "carried",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="carried_into",
                        to="records.batch",
                    ),
                ),
                (
                    "corrects",
                    models.OneToOneField(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="corrected_by",
                        to="records.batchinput",
                    ),
                ),
                (
                    "weight",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="ground",
                        to="records.scaleweight",
                    ),
                ),
                (
                    "bought",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="ground",
                        to="records.boughttrim",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="CleanUp",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("at", models.DateTimeField(db_index=True)),
                ("note", models.CharField(blank=True, max_length=200)),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.AddField(
            model_name="batch",
            name="clean_up",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="batches",
                to="records.cleanup",
            ),
        ),
        migrations.CreateModel(
            name="LeanTest",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("fat_pct", models.FloatField()),
                ("how", models.CharField(blank=True, max_length=80)),
                ("at", models.DateTimeField()),
                (
                    "batch",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lean_tests",
                        to="records.batch",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="TubEvent",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                (
                    "what",
                    models.CharField(
                        choices=[("frozen", "Frozen"), ("thawed", "Thawed"), ("thrown", "Thrown")],
                        max_length=6,
                    ),
                ),
                ("at", models.DateTimeField()),
                ("why", models.CharField(blank=True, max_length=200)),
                (
                    "bought",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tub_events",
                        to="records.boughttrim",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "weight",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="tub_events",
                        to="records.scaleweight",
                    ),
                ),
            ],
        ),
        migrations.AddConstraint(
            model_name="boughttrim",
            constraint=models.CheckConstraint(
                condition=models.Q(("weight_kg__gt", 0)), name="bought_trim_weight"
            ),
        ),
        migrations.AddConstraint(
            model_name="boughttrim",
            constraint=models.CheckConstraint(
                condition=models.Q(("lean_pct__range", (0, 100))), name="bought_trim_lean"
            ),
        ),
        migrations.AddConstraint(
            model_name="boughttrim",
            constraint=models.CheckConstraint(
                condition=models.Q(("species__in", ("cattle", "bison"))), name="bought_trim_species"
            ),
        ),
        migrations.AddConstraint(
            model_name="boughttrim",
            constraint=models.CheckConstraint(
                condition=models.Q(("inspected__in", ("federal", "state", "custom"))),
                name="bought_trim_inspected",
            ),
        ),
        migrations.AddConstraint(
            model_name="boughttrim",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("establishment", ""), _negated=True),
                    models.Q(("supplier_lot", ""), _negated=True),
                ),
                name="bought_trim_papers",
            ),
        ),
        migrations.AddIndex(
            model_name="batchinput",
            index=models.Index(fields=["batch", "at"], name="records_bat_batch_i_cddbf2_idx"),
        ),
        migrations.AddConstraint(
            model_name="batchinput",
            constraint=models.CheckConstraint(
                condition=models.Q(("weight_kg__gt", 0)), name="batch_input_above_zero"
            ),
        ),
        migrations.AddConstraint(
            model_name="batchinput",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("bought__isnull", True), ("carried__isnull", True), ("weight__isnull", False)),
                    models.Q(("bought__isnull", False), ("carried__isnull", True), ("weight__isnull", True)),
                    models.Q(("bought__isnull", True), ("carried__isnull", False), ("weight__isnull", True)),
                    _connector="OR",
                ),
                name="batch_input_of_one",
            ),
        ),
        migrations.AddConstraint(
            model_name="batchinput",
            constraint=models.CheckConstraint(
                condition=models.Q(("taken_out", False), ("corrects__isnull", False), _connector="OR"),
                name="taken_out_input_corrects",
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(("lean_pct__range", (1, 99))), name="batch_lean"
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(("inspected__in", ("federal", "state", "custom"))), name="batch_inspected"
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("inspected", "custom"), _negated=True),
                    models.Q(("owner_name", ""), _negated=True),
                    _connector="OR",
                ),
                name="custom_batch_has_owner",
            ),
        ),
        migrations.AddConstraint(
            model_name="batch",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("ended_at__isnull", True),
                    models.Q(("out_kg__gt", 0), ("clean_up__isnull", False)),
                    _connector="OR",
                ),
                name="closed_batch_is_whole",
            ),
        ),
        migrations.AddConstraint(
            model_name="leantest",
            constraint=models.CheckConstraint(
                condition=models.Q(("fat_pct__range", (0, 100))), name="lean_test_fat"
            ),
        ),
        migrations.AddConstraint(
            model_name="tubevent",
            constraint=models.CheckConstraint(
                condition=models.Q(("weight__isnull", True), ("bought__isnull", True), _connector="XOR"),
                name="tub_event_of_one",
            ),
        ),
        migrations.AddConstraint(
            model_name="tubevent",
            constraint=models.CheckConstraint(
                condition=models.Q(("what__in", ["frozen", "thawed", "thrown"])), name="tub_event"
            ),
        ),
        migrations.RunPython(guard, unguard),
    ]
