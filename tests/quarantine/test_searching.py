"""The search box finds batches by name, and samples by what the laboratory called them."""

import pytest

from registry.searching import search
from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.django_db


def test_batches_and_samples_are_found_and_lead_somewhere(client):
    client.force_login(make.user())
    frog = qmake.newcomer("N-1")
    qmake.isolation([frog], name="Rio Candelo box")
    qmake.sample("bd-pcr", [frog], label="LAB-2041")
    qmake.result(qmake.sample("bd-pcr", [frog], label="lab-2042"))
    assert [hit.text for kind in search("candelo") for hit in kind.hits] == ["Rio Candelo box"]
    (kind,) = search("lab-204")
    assert {hit.text for hit in kind.hits} == {"LAB-2041", "lab-2042"}
    assert all("Bd PCR of N-1" in hit.told for hit in kind.hits)
    for text in ("candelo", "lab-204"):
        for kind in search(text):
            for hit in kind.hits:
                assert client.get(hit.href).status_code == 200
