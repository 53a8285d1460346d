"""The pages of quarantine without scripts."""

import pytest
from django.urls import reverse

from tests import make
from tests.quarantine import make as qmake

pytestmark = pytest.mark.browser


@pytest.fixture
def box(transactional_db):
    """A batch with samples, a positive and an exposed resident."""
    room = make.enclosure("Q1", unit=make.unit("Rack Q", role="quarantine"))
    animals = [qmake.newcomer(f"EA-{n}", room) for n in (1, 2)]
    isolation = qmake.isolation(animals, name="Box")
    qmake.result(qmake.sample(animals=animals[:1]), "positive")
    qmake.sample("faecal", enclosure=room)
    resident = make.enclosure("E1")
    qmake.resident("D-01", resident)
    make.stay(qmake.newcomer("EA-9"), resident, start=qmake.DAY)
    return isolation


def test_an_arrival_joins_a_batch_without_scripts(opened, box):
    """The question with its reason, then what it delays, then it is saved."""
    make.locality("Rio Candelo", make.taxon("Epipedobates anthonyi", grouping="group"))
    page = opened(reverse("arrival-add"), scripts=False)
    page.select_option("#id_supplier", index=1)
    page.select_option("#id_taxon", label="Epipedobates anthonyi")
    page.fill("#id_count", "0.0.2")
    page.fill("#id_pattern", "NW-##")
    page.select_option("#id_batch", value=str(box.pk))
    page.fill("#id_enclosures", "q1")
    page.click("main button:has-text('Register')")
    page.fill("#reason-all", "they came together")
    page.click("main button:has-text('Register')")
    assert "Box is delayed" in (page.inner_text("#before"))
    page.click("main button:has-text('all the same')")
    assert "registered and held" in page.inner_text(".messages")
    assert {m.animal.code for m in box.members.all()} == {"EA-1", "EA-2", "NW-01", "NW-02"}
