"""The pages of the register, of loans, proofs of origin and labels."""

from django.urls import path

from .views import labels, loans, proofs, register

urlpatterns = [
    path("register/", register.register_show, name="register-show"),
    path("register/lines.csv", register.register_table, name="register-table"),
    path("register/lines.pdf", register.register_print, name="register-print"),
    path("register/<int:pk>/", register.line_show, name="register-line"),
    path("register/<int:pk>/anew/", register.line_restate, name="register-restate"),
    path("loans/", loans.loan_list, name="loan-list"),
    path("labels/", labels.label_print, name="label-print"),
    path("proofs/", proofs.proof_list, name="proof-list"),
    path("proofs/issue/", proofs.proof_issue, name="proof-issue"),
    path("proofs/<int:pk>/", proofs.proof_show, name="proof-show"),
    path("of/<int:pk>/", proofs.animal_papers, name="animal-papers"),
]
