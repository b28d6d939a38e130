from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("compaction", "0007_reprojection")]

    operations = [
        migrations.AddField(
            "specificationrevision", "edition", models.CharField(max_length=200, blank=True, default="")
        ),
        migrations.AddField(
            "criterion",
            "unit",
            models.CharField(
                max_length=10, default="%", help_text="In which the limits are written; they are SI here."
            ),
        ),
        migrations.AddField("criterion", "statistic", models.CharField(max_length=40, blank=True, default="")),
        migrations.AddField(
            "criterion",
            "conditions",
            models.TextField(blank=True, default="", help_text="Canonical JSON of the further conditions."),
        ),
    ]
