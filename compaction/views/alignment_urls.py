"""Addresses of alignments and of the converter."""

from django.urls import URLPattern, path

from compaction.views import alignment_entry, alignments, converter

P = "p/<slug:code>/"

urlpatterns: list[URLPattern] = [
    path(P + "alignments", alignments.alignments, name="alignments"),
    path(P + "alignments-new", alignment_entry.enter, name="alignment-new"),
    path(P + "alignments-new/answer", alignment_entry.answer, name="alignment-answer"),
    path(P + "alignments-new/save", alignment_entry.save, name="alignment-save"),
    path(P + "alignments/<str:alignment>", alignments.alignment, name="alignment"),
    path(P + "alignments/<str:alignment>/section", alignment_entry.section, name="alignment-section"),
    path(P + "alignments/<str:alignment>/<int:rev>/plan.svg", alignments.plan_svg, name="alignment-plan"),
    path(P + "alignments/<str:alignment>/<int:rev>/profile.svg", alignments.profile_svg, name="alignment-profile"),
    path(P + "convert", converter.converter, name="converter"),
]
