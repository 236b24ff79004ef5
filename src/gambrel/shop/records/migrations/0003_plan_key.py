import uuid

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("records", "0002_written_once")]

    operations = [
        migrations.AddField(
            model_name="plan",
            name="key",
            field=models.UUIDField(default=uuid.uuid4, editable=False, unique=True),
        ),
    ]
