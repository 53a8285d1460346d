"""The pedigree picture in the page and as files, with no `dot` on the path."""

from datetime import date
from xml.etree import ElementTree

import pytest
from django.urls import reverse

from tests import make

pytestmark = pytest.mark.django_db


@pytest.fixture
def signed_in(client, monkeypatch):
    """A keeper on a machine without Graphviz's own programs."""
    monkeypatch.setenv("PATH", "")
    client.force_login(make.user())
    return client


@pytest.fixture
def family():
    """Two founders, three siblings of which two are a pair, and their inbred young."""
    sire, dam = make.animal("S", sex="male"), make.animal("D", sex="female")
    first = make.clutch("K1", found_on=date(2022, 1, 1))
    make.parent(first, "sire", sire)
    make.parent(first, "dam", dam)
    son, daughter = make.young(first, "SO", sex="male"), make.young(first, "DA", sex="female")
    other = make.young(first, "OT", sex="male")
    second = make.clutch("K2", found_on=date(2024, 1, 1))
    make.parent(second, "sire", son, other)
    make.parent(second, "dam", daughter)
    return {"S": sire, "D": dam, "SO": son, "DA": daughter, "Y": make.young(second, "Y")}


def shown(client, animal, query=""):
    """Return the pedigree page of an animal."""
    return client.get(reverse("pedigree-show", args=[animal.pk]) + query).content.decode()


def test_the_picture_links_every_animal(signed_in, family):
    """Each ancestor leads to its page, and the common ones are named."""
    page = shown(signed_in, family["Y"])
    for animal in family.values():
        assert reverse("animal-show", args=[animal.pk]) in page
    assert "Common ancestors" in page
    assert "<svg" in page


def test_the_same_is_said_in_words(signed_in, family):
    """A reader without the picture finds the parents and how related they are."""
    page = shown(signed_in, family["Y"])
    assert "The same in words" in page
    assert "parents related" in page
    assert "1/2" in page


@pytest.mark.parametrize(
    ("query", "codes"),
    [
        ("?up=1", {"Y", "SO", "DA", "OT"}),
        ("?up=0", {"Y"}),
        ("?up=nonsense", {"Y", "SO", "DA", "OT", "S", "D"}),
        ("?up=-1", {"Y", "SO", "DA", "OT", "S", "D"}),
        ("?up=1000000", {"Y", "SO", "DA", "OT", "S", "D"}),
    ],
)
def test_the_depth_is_chosen(signed_in, family, query, codes):
    """One generation shows the parents; nonsense shows the usual three and says what is wrong."""
    answer = signed_in.get(reverse("pedigree-show", args=[family["Y"].pk]) + query)
    assert {a.code for a in answer.context["picture"].animals} == codes


def test_descendants_are_drawn_with_their_other_parents(signed_in, family):
    """Of a founder: the young, their mates, and the young of those."""
    answer = signed_in.get(reverse("pedigree-show", args=[family["S"].pk]) + "?up=0&down=2")
    assert {a.code for a in answer.context["picture"].animals} == {"S", "D", "SO", "DA", "OT", "Y"}


@pytest.mark.parametrize(
    ("ending", "start"),
    [("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF"), ("dot", b"digraph")],
)
def test_the_picture_is_had_as_a_file(signed_in, family, ending, start):
    """SVG, PNG, PDF and DOT are what they say, under a name that is safe."""
    answer = signed_in.get(reverse("pedigree-file", args=[family["Y"].pk, ending]))
    assert answer.content.startswith(start)
    assert answer["Content-Disposition"] == f'attachment; filename="pedigree-Y.{ending}"'


def test_hostile_names_stay_text(signed_in, family):
    """Markup and quotes in a name neither break the picture nor run."""
    young = family["Y"]
    young.name = "<script>alert('x')</script>\" & \\n"
    young.save()
    page = shown(signed_in, young)
    assert "<script>alert" not in page
    answer = signed_in.get(reverse("pedigree-file", args=[young.pk, "svg"]))
    assert "alert" in "".join(ElementTree.fromstring(answer.content).itertext())


def test_a_founder_alone_is_a_picture(signed_in):
    """Nothing on record is no error."""
    assert "1 animal." in shown(signed_in, make.animal("ONE"))


def test_two_animals_share_a_picture(signed_in, family):
    """Their common ancestors are those of both."""
    where = reverse("pedigree-two", args=[family["SO"].pk, family["DA"].pk])
    answer = signed_in.get(where)
    assert answer.context["picture"].common
    files = reverse("pedigree-two-file", args=[family["SO"].pk, family["DA"].pk, "dot"])
    assert signed_in.get(files).status_code == 200


def test_unsexed_parents_are_drawn_as_a_pair(signed_in):
    """Two animals that could be either parent."""
    one, two = make.animal("X"), make.animal("Z")
    clutch = make.clutch("K9", found_on=date(2024, 1, 1))
    make.parent(clutch, "pair", (one, two), (two, one), weights=[0.5, 0.5])
    page = shown(signed_in, make.young(clutch, "W"))
    assert "X and Z, which of them the sire is not known" in page


def test_strangers_are_asked_to_sign_in(client, family):
    """No picture without signing in."""
    answer = client.get(reverse("pedigree-show", args=[family["Y"].pk]))
    assert answer.status_code == 302


def test_kin_and_why(signed_in, family):
    """The nearest relatives are named, and the account of two of them sums to the figure."""
    page = signed_in.get(reverse("kin-show", args=[family["SO"].pk])).content.decode()
    assert "full sibling" in page
    assert "parent" in page
    answer = signed_in.get(reverse("kin-why", args=[family["SO"].pk, family["DA"].pk]))
    account = answer.context["account"]
    assert sum(p.contribution for p in account.parts) == pytest.approx(account.expected, abs=1e-12)
    assert "Through" in answer.content.decode()
