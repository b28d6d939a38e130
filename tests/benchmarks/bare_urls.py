"""The service's addresses and, beside them, `bare/`: validate with a ModelSerializer, insert two rows, answer."""

import json

from django.db import transaction
from django.urls import include, path
from rest_framework import serializers
from rest_framework.parsers import JSONParser
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.views import APIView

from compaction.models import Test, TestVersion


class TestSerializer(serializers.ModelSerializer):
    class Meta:
        model = Test
        exclude = ["id"]


class BareTests(APIView):
    """No key, no calculation, no journal: the floor that the framework sets for these fields."""

    authentication_classes: list = []
    permission_classes: list = []
    parser_classes = [JSONParser]
    renderer_classes = [JSONRenderer]

    def post(self, request):
        serializer = TestSerializer(data=request.data["fields"])
        serializer.is_valid(raise_exception=True)
        body = json.dumps(request.data["body"])
        with transaction.atomic():
            test = serializer.save()
            TestVersion.objects.create(
                test=test,
                version=1,
                client_uuid=test.client_uuid,
                schema=1,
                raw_body=body,
                raw_sha256="0" * 64,
                content=body,
                content_sha256="0" * 64,
                author="bench",
                received_at=test.received_at,
            )
        return Response(serializer.data, status=201)


urlpatterns = [path("bare/", BareTests.as_view()), path("", include("compaction.urls"))]
