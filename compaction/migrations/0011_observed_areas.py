import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("compaction", "0010_test_locations"), ("projects", "0002_surfaces")]

    operations = [
        migrations.CreateModel(
            name="ObservedArea",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("kind", models.CharField(max_length=20)),
                ("area", models.CharField(max_length=40)),
                ("lift", models.PositiveIntegerField(blank=True, null=True)),
                ("observed_at", models.DateTimeField()),
                ("alignment", models.CharField(max_length=40)),
                ("limits", models.TextField(help_text="Canonical JSON of a station-offset range.")),
                ("verdict", models.CharField(blank=True, max_length=20)),
                ("replaces", models.UUIDField(blank=True, help_text="The record that was written wrongly.", null=True)),
                ("content", models.TextField(help_text="Canonical JSON as received.")),
                ("content_sha256", models.CharField(max_length=64)),
                ("author", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="observed_areas",
                        to="projects.project",
                    ),
                ),
            ],
            options={
                "ordering": ["project", "observed_at", "id"],
                "indexes": [models.Index(fields=["project", "lift", "area"], name="observed_area_by_lift")],
                "constraints": [models.UniqueConstraint(fields=("project", "client_uuid"), name="observed_area_once")],
            },
        ),
    ]
