"""Addresses of the kitchen week."""

from __future__ import annotations

from django.urls import path

from tierwright.web.plans import views

urlpatterns = [
    path("", views.this_week, name="week-now"),
    path("<str:monday>/", views.week, name="week"),
    path("<str:monday>/plan/", views.plan_it, name="week-plan"),
    path("<str:monday>/rest/", views.plan_the_rest, name="week-rest"),
    path("<str:monday>/happened/", views.happened, name="week-happened"),
    path("<str:monday>/hold/", views.hold, name="week-hold"),
    path("<str:monday>/let-go/", views.let_go, name="week-let-go"),
    path("<str:monday>/day-sheets.pdf", views.day_sheets_pdf, name="week-pdf"),
    path("<str:monday>/week.ics", views.calendar, name="week-calendar"),
    path("<str:monday>/week.json", views.as_json, name="week-json"),
    path("<str:monday>/week.csv", views.as_csv, name="week-csv"),
    path("<str:monday>/week.svg", views.as_svg, name="week-svg"),
]
