import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("compaction", "0006_gauge_corrections"), ("projects", "0002_surfaces")]

    operations = [
        migrations.CreateModel(
            name="GeometryPreview",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("kind", models.CharField(help_text="alignment or area", max_length=10)),
                ("code", models.CharField(max_length=40)),
                ("name", models.CharField(blank=True, max_length=120)),
                ("reason", models.CharField(blank=True, max_length=200)),
                ("content", models.TextField(help_text="Canonical JSON of the revision that is asked about.")),
                ("digest", models.CharField(max_length=64)),
                ("setup_seq", models.PositiveBigIntegerField(help_text="The set-up that it was compared with.")),
                (
                    "reached",
                    models.PositiveBigIntegerField(default=0, help_text="Tests up to this row have been looked at."),
                ),
                ("looked_at", models.PositiveIntegerField(default=0)),
                ("total", models.PositiveIntegerField(default=0)),
                ("counts", models.TextField(default="{}")),
                ("rows", models.TextField(default="[]", help_text="The first changes, as canonical JSON.")),
                ("asked_by", models.CharField(max_length=150)),
                ("asked_at", models.DateTimeField()),
                ("finished_at", models.DateTimeField(blank=True, null=True)),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="geometry_previews",
                        to="projects.project",
                    ),
                ),
            ],
            options={"ordering": ["-asked_at"]},
        ),
        migrations.AddConstraint(
            model_name="geometrypreview",
            constraint=models.UniqueConstraint(fields=("project", "client_uuid"), name="geometry_preview_once"),
        ),
    ]
