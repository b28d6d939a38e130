import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("compaction", "0009_coverage"), ("projects", "0001_initial")]

    operations = [
        migrations.CreateModel(
            name="LocationDraw",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("area", models.CharField(max_length=200)),
                ("lift", models.PositiveIntegerField()),
                ("seed", models.CharField(max_length=80)),
                ("algorithm", models.CharField(max_length=40)),
                ("supersedes", models.UUIDField(blank=True, help_text="The draw that this one replaces.", null=True)),
                ("reason_code", models.CharField(blank=True, max_length=40)),
                ("reason", models.TextField(blank=True)),
                ("content", models.TextField(help_text="Canonical JSON as received.")),
                ("content_sha256", models.CharField(max_length=64)),
                (
                    "drawn",
                    models.TextField(help_text="Canonical JSON: what it was drawn on, cells, U1, U2 and places."),
                ),
                ("author", models.CharField(max_length=150)),
                ("drawn_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="location_draws",
                        to="projects.project",
                    ),
                ),
            ],
            options={"ordering": ["drawn_at", "id"]},
        ),
        migrations.CreateModel(
            name="LocationSubstitution",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("location", models.UUIDField()),
                ("attempt", models.PositiveSmallIntegerField(help_text="1 for the first substitution of the location.")),
                ("reason_code", models.CharField(max_length=40)),
                ("reason", models.TextField()),
                ("content", models.TextField(help_text="Canonical JSON as received.")),
                ("content_sha256", models.CharField(max_length=64)),
                ("place", models.TextField(help_text="Canonical JSON of the place taken instead.")),
                ("author", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "draw",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="substitutions",
                        to="compaction.locationdraw",
                    ),
                ),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="location_substitutions",
                        to="projects.project",
                    ),
                ),
            ],
            options={"ordering": ["received_at", "id"]},
        ),
        migrations.AddIndex(
            model_name="locationdraw",
            index=models.Index(fields=["project", "lift", "area"], name="location_draw_by_group"),
        ),
        migrations.AddConstraint(
            model_name="locationdraw",
            constraint=models.UniqueConstraint(fields=("project", "client_uuid"), name="location_draw_once"),
        ),
        migrations.AddConstraint(
            model_name="locationdraw",
            constraint=models.UniqueConstraint(fields=("project", "supersedes"), name="location_draw_replaced_once"),
        ),
        migrations.AddConstraint(
            model_name="locationdraw",
            constraint=models.UniqueConstraint(
                condition=models.Q(("supersedes__isnull", True)),
                fields=("project", "area", "lift"),
                name="location_draw_one_first",
            ),
        ),
        migrations.AddConstraint(
            model_name="locationsubstitution",
            constraint=models.UniqueConstraint(fields=("project", "client_uuid"), name="location_substitution_once"),
        ),
        migrations.AddConstraint(
            model_name="locationsubstitution",
            constraint=models.UniqueConstraint(
                fields=("draw", "location", "attempt"), name="location_substitution_attempt_once"
            ),
        ),
    ]
