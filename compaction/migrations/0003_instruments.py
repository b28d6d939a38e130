import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("projects", "0001_initial"), ("compaction", "0002_initial")]

    operations = [
        migrations.AddField(
            model_name="apparatusrecord",
            name="content",
            field=models.TextField(
                blank=True, default="", help_text="Canonical JSON as received; empty before calibrations were kept."
            ),
        ),
        migrations.CreateModel(
            name="StandardCount",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("serial", models.CharField(max_length=40)),
                ("purpose", models.CharField(max_length=20)),
                ("taken_at", models.DateTimeField()),
                (
                    "replaces",
                    models.UUIDField(blank=True, help_text="The count that was written wrongly.", null=True),
                ),
                ("content", models.TextField(help_text="Canonical JSON as received.")),
                ("content_sha256", models.CharField(max_length=64)),
                ("author", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="standard_counts",
                        to="projects.project",
                    ),
                ),
            ],
            options={
                "ordering": ["project", "serial", "taken_at", "id"],
                "indexes": [models.Index(fields=["project", "serial", "taken_at"], name="standard_count_by_time")],
                "constraints": [models.UniqueConstraint(fields=("project", "client_uuid"), name="standard_count_once")],
            },
        ),
        migrations.CreateModel(
            name="OperatorCertificate",
            fields=[
                ("id", models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name="ID")),
                ("client_uuid", models.UUIDField()),
                ("person", models.CharField(max_length=150)),
                ("subject", models.CharField(max_length=30)),
                ("valid_from", models.DateField()),
                ("valid_until", models.DateField(blank=True, null=True)),
                (
                    "replaces",
                    models.UUIDField(blank=True, help_text="The certificate that was written wrongly.", null=True),
                ),
                ("content", models.TextField(help_text="Canonical JSON as received.")),
                ("content_sha256", models.CharField(max_length=64)),
                ("author", models.CharField(max_length=150)),
                ("received_at", models.DateTimeField()),
                (
                    "project",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="operator_certificates",
                        to="projects.project",
                    ),
                ),
            ],
            options={
                "ordering": ["project", "person", "subject", "valid_from", "id"],
                "constraints": [
                    models.UniqueConstraint(fields=("project", "client_uuid"), name="operator_certificate_once"),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("valid_until__isnull", True),
                            ("valid_from__lte", models.F("valid_until")),
                            _connector="OR",
                        ),
                        name="operator_certificate_period_in_order",
                    ),
                ],
            },
        ),
    ]
