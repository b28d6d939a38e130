import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("compaction", "0008_specification_data"), ("projects", "0002_surfaces")]

    operations = [
        migrations.CreateModel(
            name="LiftCover",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("area", models.CharField(max_length=40)),
                ("lift", models.PositiveIntegerField()),
                ("state", models.CharField(max_length=20)),
                (
                    "required",
                    models.PositiveIntegerField(
                        blank=True, help_text="Empty: no rule, or a quantity not known.", null=True
                    ),
                ),
                ("made", models.PositiveIntegerField(default=0)),
                ("passing", models.PositiveIntegerField(default=0)),
                ("short", models.PositiveIntegerField(default=0)),
                ("buried", models.PositiveIntegerField(default=0)),
                ("over_unreleased", models.BooleanField(default=False)),
                ("content", models.TextField(help_text="Canonical JSON of the whole.")),
                ("digest", models.CharField(help_text="Of the figures that a release is signed on.", max_length=64)),
                ("computed_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="lift_covers", to="projects.project"
                    ),
                ),
            ],
            options={
                "ordering": ["project", "area", "lift"],
                "indexes": [models.Index(fields=["project", "lift"], name="lift_cover_by_lift")],
                "constraints": [models.UniqueConstraint(fields=("project", "area", "lift"), name="lift_cover_once")],
            },
        ),
        migrations.CreateModel(
            name="NotTested",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("area", models.CharField(max_length=40)),
                ("lift", models.PositiveIntegerField()),
                ("reason_code", models.CharField(max_length=40)),
                ("reason", models.TextField()),
                ("noted_at", models.DateTimeField(help_text="When it was so, as the person says.")),
                ("content", models.TextField(help_text="Canonical JSON as received.")),
                ("content_sha256", models.CharField(max_length=64)),
                ("author", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT, related_name="not_tested", to="projects.project"
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "not tested",
                "ordering": ["noted_at", "client_uuid"],
                "indexes": [models.Index(fields=["project", "area", "lift"], name="not_tested_by_group")],
                "constraints": [models.UniqueConstraint(fields=("project", "client_uuid"), name="not_tested_once")],
            },
        ),
    ]
