"""The quarantine pages."""

from django.urls import path

from .views import (
    amendments,
    batches,
    clearances,
    contacts,
    courses,
    holds,
    protocols,
    results,
    samples,
)

app_name = "quarantine"
urlpatterns = [
    path("", batches.home, name="home"),
    path("batches/open/", batches.isolation_open, name="isolation-open"),
    path("batches/<int:pk>/", batches.batch_show, name="batch-show"),
    path("batches/<int:pk>/join/", batches.batch_join, name="join"),
    path("batches/<int:pk>/split/", batches.batch_split, name="split"),
    path("batches/<int:pk>/move/", batches.batch_move, name="batch-move"),
    path("batches/<int:pk>/samples/", samples.sample_add, name="sample-add"),
    path("batches/<int:pk>/results/", results.results_add, name="results-add"),
    path("batches/<int:pk>/course/", courses.course_add, name="course-add"),
    path("batches/<int:pk>/clear/", clearances.clear, name="clear"),
    path("entries/<str:kind>/<int:pk>/correct/", amendments.fact_amend, name="fact-amend"),
    path("entries/<str:kind>/<int:pk>/withdraw/", amendments.fact_take_back, name="fact-take-back"),
    path("samples/add/", samples.sample_any, name="sample-any"),
    path("samples/<int:pk>/result/", results.result_add, name="result-add"),
    path("results/", results.results_list, name="results-list"),
    path("results/paste/", results.results_paste, name="results-paste"),
    path("results/<int:pk>/", results.result_show, name="result-show"),
    path("results/<int:pk>/correct/", results.result_correct, name="result-correct"),
    path("results/<int:pk>/decide/", results.result_decide, name="result-decide"),
    path("courses/<int:pk>/end/", courses.course_end, name="course-end"),
    path("deaths/<int:pk>/necropsy/", courses.necropsy_add, name="necropsy-add"),
    path("holds/", holds.hold_list, name="hold-list"),
    path("holds/add/", holds.hold_add, name="hold-add"),
    path("holds/<int:pk>/end/", holds.hold_end, name="hold-end"),
    path("clearances/<int:pk>/", clearances.clearance_show, name="clearance-show"),
    path("opening-stock/", clearances.stock_clear, name="stock-clear"),
    path("exposed/", contacts.exposed_list, name="exposed-list"),
    path("trace/", contacts.trace_show, name="trace"),
    path("audit/", contacts.audit_show, name="audit"),
    path("audit.csv", contacts.audit_file, name="audit-file"),
    path("protocols/", protocols.protocol_list, name="protocol-list"),
    path("protocols/add/", protocols.protocol_add, name="protocol-add"),
    path("protocols/<int:pk>/", protocols.protocol_show, name="protocol-show"),
    path("protocols/<int:pk>/edit/", protocols.protocol_edit, name="protocol-edit"),
]
