import django.db.models.deletion
from django.db import migrations, models


def look_at_gauge_tests_again(apps, schema_editor):
    """Depth, mode and count time are remarked on now. A reassessment that changes nothing writes nothing."""
    Test = apps.get_model("compaction", "Test")
    StaleWork = apps.get_model("projects", "StaleWork")
    for project_id, client_uuid in Test.objects.filter(method="nuclear_gauge").values_list("project_id", "client_uuid"):
        row, made = StaleWork.objects.get_or_create(
            project_id=project_id,
            kind="test",
            key=str(client_uuid),
            defaults={"cause": "remarks on depth, mode and count time", "dirty_rev": 1, "computed_rev": 0},
        )
        if not made:
            row.dirty_rev += 1
            row.attempts = 0
            row.save(update_fields=["dirty_rev", "attempts"])


class Migration(migrations.Migration):
    dependencies = [("compaction", "0005_lots"), ("projects", "0001_initial")]

    operations = [
        migrations.CreateModel(
            name="GaugeCorrection",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("gauge", models.CharField(max_length=40)),
                ("reference", models.CharField(blank=True, help_text="Empty: any.", max_length=40)),
                ("mode", models.CharField(max_length=30)),
                (
                    "notch",
                    models.PositiveSmallIntegerField(blank=True, help_text="Inches; empty at the surface.", null=True),
                ),
                ("effective_from", models.DateField()),
                ("content", models.TextField(help_text="Canonical JSON of the correction as sent.")),
                ("content_sha256", models.CharField(max_length=64)),
                (
                    "pairs",
                    models.TextField(default="[]", help_text="Canonical JSON of the pairs that it was found from."),
                ),
                (
                    "analysis_digest",
                    models.CharField(blank=True, help_text="Of the figures that were looked at.", max_length=64),
                ),
                ("reason", models.TextField()),
                ("author", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="gauge_corrections",
                        to="projects.project",
                    ),
                ),
            ],
            options={
                "ordering": ["received_at", "id"],
                "indexes": [models.Index(fields=["project", "gauge"], name="gauge_correction_by_gauge")],
                "constraints": [
                    models.UniqueConstraint(fields=("project", "client_uuid"), name="gauge_correction_once")
                ],
            },
        ),
        migrations.CreateModel(
            name="GaugePair",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("gauge_test", models.UUIDField()),
                (
                    "direct_test",
                    models.UUIDField(blank=True, help_text="Empty: the oven specimen of the gauge test.", null=True),
                ),
                ("counts", models.BooleanField()),
                ("reason", models.TextField()),
                ("content_sha256", models.CharField(max_length=64)),
                ("person", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="gauge_pairs",
                        to="projects.project",
                    ),
                ),
            ],
            options={
                "ordering": ["received_at", "id"],
                "constraints": [models.UniqueConstraint(fields=("project", "client_uuid"), name="gauge_pair_once")],
            },
        ),
        migrations.CreateModel(
            name="GaugeRule",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                (
                    "rule",
                    models.CharField(help_text="A code of calculations.comparison_rules.", max_length=40),
                ),
                ("reason", models.TextField()),
                ("content_sha256", models.CharField(max_length=64)),
                ("person", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="gauge_rules",
                        to="projects.project",
                    ),
                ),
            ],
            options={
                "ordering": ["received_at", "id"],
                "constraints": [models.UniqueConstraint(fields=("project", "client_uuid"), name="gauge_rule_once")],
            },
        ),
        migrations.RunPython(look_at_gauge_tests_again, migrations.RunPython.noop),
    ]
