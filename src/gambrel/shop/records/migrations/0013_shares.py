"""Shares of an animal."""

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0012_plan_questions"),
    ]

    operations = [
        migrations.CreateModel(
            name="Share",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("key", models.UUIDField(default=uuid.uuid4, editable=False, unique=True)),
                ("code", models.CharField(max_length=20, unique=True)),
                ("portion", models.CharField(max_length=8)),
                ("bought_on", models.DateField()),
                ("wishes", models.JSONField()),
                ("terms", models.JSONField()),
                (
                    "state",
                    models.CharField(
                        choices=[("open", "Open"), ("filled", "Filled"), ("cancelled", "Cancelled")],
                        default="open",
                        max_length=9,
                    ),
                ),
                ("token", models.CharField(blank=True, db_index=True, max_length=64)),
                ("taken_kg", models.DecimalField(decimal_places=3, max_digits=8, null=True)),
                ("ground_kg", models.DecimalField(decimal_places=3, max_digits=8, null=True)),
                ("handed_on", models.DateField(null=True)),
                ("foretold", models.JSONField(null=True)),
                (
                    "agreed_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "animal",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="shares",
                        to="records.animal",
                    ),
                ),
                (
                    "customer",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="shares",
                        to="records.customer",
                    ),
                ),
            ],
            options={
                "indexes": [models.Index(fields=["state", "bought_on"], name="records_sha_state_ec2496_idx")],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(("portion__in", ("whole", "half", "quarter", "eighth"))),
                        name="share_portion",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("state__in", ["open", "filled", "cancelled"])), name="share_state"
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("state", "filled"), _negated=True),
                            models.Q(("taken_kg__gt", 0), ("handed_on__isnull", False)),
                            _connector="OR",
                        ),
                        name="handed_share_was_weighed",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("ground_kg__isnull", True),
                            models.Q(("ground_kg__gte", 0), ("ground_kg__lte", models.F("taken_kg"))),
                            _connector="OR",
                        ),
                        name="share_ground",
                    ),
                    models.UniqueConstraint(
                        condition=models.Q(("token", ""), _negated=True),
                        fields=("token",),
                        name="share_token_once",
                    ),
                ],
            },
        ),
    ]
