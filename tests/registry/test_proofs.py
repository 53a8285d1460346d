"""A proof of origin says what is on record and what is missing, and stays as it was issued."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import connection
from django.urls import reverse
from PIL import Image

from registry import models as m
from registry import proving as p
from registry.proof_gaps import gaps
from tests import make
from tests.registry.pdf import reader, text_of

pytestmark = pytest.mark.django_db
DAY = date(2026, 3, 2)
RIGHT = "registry.issue_proof"
PEDIGREES = p.pedigrees


@pytest.fixture(autouse=True)
def undrawn(monkeypatch):
    """Leave out the pedigree, which takes a second to draw, where a test is not about it."""
    monkeypatch.setattr(p, "pedigrees", lambda animals, on: [])


@pytest.fixture
def family():
    """Return a young one bred here from a wild pair of which only the sire has a permit."""
    keeper = make.party("Mirre Oldanker", address="Fen Row 3\nLower Reach", country="NL")
    make.holding(party=keeper)
    tank = make.enclosure("E10")
    sire = make.animal("D-1", sex="male", basis="calling", born=date(2019, 1, 1))
    dam = make.animal("D-2", sex="female", basis="looks", born=date(2019, 1, 1))
    permit = m.Paper.objects.create(
        kind="permit", number="P-77", issuer="Office", day=DAY, file="papers/p77.pdf"
    )
    permit.animals.set([sire])
    clutch = make.clutch("K1", enclosure=tank, found_on=date(2025, 6, 1))
    make.parent(clutch, "sire", sire)
    make.parent(clutch, "dam", dam)
    m.Party.objects.exclude(pk=keeper.pk).update(address="Known")
    young = make.young(clutch, "Y-1", source_code="F")
    make.stay(young, tank, start=young.separated_on)
    return young


def proving(*animals, **more):
    return p.Proving(**{"animals": animals, "day": DAY} | more)


def issue(*animals, **more):
    return p.issue(proving(*animals, **more), by=make.user())


def content(proof):
    with proof.paper.file.open("rb") as file:
        return file.read()


def said(animal):
    return gaps(proving(animal).facts, animal)


class TestPaper:
    def test_it_names_the_animal_its_parents_and_their_papers(self, family):
        m.Mark.objects.create(animal=family, kind="ring", value="NL 12", day=DAY)
        text = text_of(content(issue(family)))
        for part in (
            "Y-1", "Dendrobates tinctorius", "unsexed", "9 Sep 2025", "F born in captivity",
            "Grey Mill", "ring NL 12 (2 Mar 2026)", "Bred here (Lantern Row) in clutch K1",
            "sire D-1 W", "dam D-2 W", "permit P-77, Office, 2 Mar 2026",
            "Mirre Oldanker Fen Row 3 Lower Reach NL", "CITES F1",
        ):  # fmt: skip
            assert part in text, part

    def test_it_says_that_it_is_no_permit_and_never_what_is_lawful(self, family):
        text = text_of(content(issue(family)))
        assert "It is no permit" in text
        assert "not whether keeping, moving or selling the animals is lawful" in text
        assert text.count("lawful") == 1

    def test_a_held_animal_is_printed_held_and_a_cleared_one_cleared(self, family):
        held = make.animal("H-1", here_since=date(2026, 2, 20), cleared=False)
        assert "held on 2 Mar 2026" in text_of(content(issue(held)))
        cleared = text_of(content(issue(family)))
        assert "cleared on 2 Mar 2026" in cleared
        assert "held on" not in cleared

    def test_one_that_left_held_is_printed_as_it_left(self, family):
        make.departure(family, day=date(2026, 3, 1), receiver=make.party("Isolde"), held=True)
        assert "held, on leaving on 1 Mar 2026 (sale to Isolde)" in text_of(content(issue(family)))

    def test_one_of_several_sires_is_named_with_its_weight(self, family):
        other = make.animal("D-3", sex="male")
        m.Descent.objects.filter(role="sire").delete()
        make.parent(family.clutch, "sire", m.Animal.objects.get(code="D-1"), other)
        text = text_of(content(issue(family)))
        assert "sire (50 %) D-1" in text
        assert "sire (50 %) D-3" in text

    def test_grandparents_are_named_and_their_parents_are_not(self, family):
        young = family
        for n in range(2, 4):
            clutch = make.clutch(f"K{n}", found_on=date(2025, 12, n))
            make.parent(clutch, "dam", young)
            young = make.young(clutch, f"Y-{n}")
        rows = p.sheet(proving(young).facts, young)["ancestors"]
        assert [(row[0], row[1]) for row in rows] == [("dam", "Y-2"), ("dam's dam", "Y-1")]

    def test_it_carries_the_pedigree_as_a_picture_with_a_description(self, family, monkeypatch):
        monkeypatch.setattr(p, "pedigrees", PEDIGREES)
        made = reader(content(issue(family)))
        alts = [
            str(thing["/Alt"])
            for thing in map(made.get_object, made.xref[0])
            if isinstance(thing, dict) and "/Alt" in thing
        ]
        assert alts == ["Pedigree of Y-1, 3 animals"]

    def test_it_carries_the_photograph_the_animal_is_known_by(self, family):
        kept = BytesIO()
        Image.new("RGB", (40, 30), "green").save(kept, "JPEG")
        photo = ContentFile(kept.getvalue(), name="back.jpg")
        m.Mark.objects.create(animal=family, kind="photograph", photo=photo, day=DAY)
        made = content(issue(family))
        assert "Y-1, photographed 2 Mar 2026" in text_of(made)
        assert [picture.image.size for page in reader(made).pages for picture in page.images] == [
            (40, 30)
        ]

    def test_a_photograph_that_cannot_be_read_does_not_stop_the_paper(self, family):
        photo = ContentFile(b"nothing", name="back.jpg")
        m.Mark.objects.create(animal=family, kind="photograph", photo=photo, day=DAY)
        assert "photographed" not in text_of(content(issue(family)))

    def test_hostile_names_are_printed_as_they_were_typed(self, family):
        name = "#panic[a] $b$ *c*"
        m.Animal.objects.filter(pk=family.pk).update(name=name)
        family.refresh_from_db()
        assert name in text_of(content(issue(family, receiver=make.party("=1+1 \u202e<b>"))))


class TestMissing:
    def test_a_wild_parent_without_a_permit_is_said_to_have_none_on_record(self, family):
        assert "No permit on record for dam D-2." in said(family)
        assert "No permit on record for sire D-1." not in said(family)

    def test_a_bred_animal_from_elsewhere_needs_any_paper_of_its_origin(self):
        bought = make.animal("C-1", source_code="C", born=DAY)
        sentence = "No certificate of origin, invoice or permit on record for C-1."
        assert sentence in said(bought)
        invoice = m.Paper.objects.create(kind="invoice", number="7", arrival=bought.arrivals.get())
        assert sentence not in said(bought)
        assert "No file on record for invoice 7 of C-1." in said(bought)
        invoice.withdrawn(by=make.user(), why="Of another.")
        assert sentence in said(bought)

    def test_parents_not_stated_or_not_certain_are_said(self, family):
        m.Descent.objects.filter(role="dam").delete()
        assert "No dam on record for Y-1." in said(family)
        one, two = make.animal("D-8"), make.animal("D-9")
        make.parent(family.clutch, "dam", one, two, weights=[0.4, 0.4])
        assert "The dam of Y-1 may be D-8 or D-9, or another." in said(family)

    def test_parents_drawn_as_a_pair_are_said_together(self, family):
        m.Descent.objects.all().delete()
        one, two, three = (make.animal(f"D-{n}") for n in (5, 6, 7))
        make.parent(family.clutch, "pair", (one, two), (two, three))
        assert "The parents of Y-1 may be D-5 with D-6 or D-6 with D-7." in said(family)

    def test_parents_of_wild_animals_are_not_asked_for(self, family):
        assert not [text for text in said(family) if "of sire D-1" in text or "dam on" in text]

    def test_an_unmarked_animal_without_birth_or_place_is_said_to_be_one(self):
        animal = make.animal("U-1", source_code="U", locality=None)
        found = said(animal)
        assert "No date of birth on record for U-1." in found
        assert "No locality on record for U-1." in found
        assert "No origin (CITES source code) on record for U-1." in found
        assert any(text.startswith("No mark on record for U-1") for text in found)

    def test_what_was_missing_is_kept_with_the_proof(self, family):
        proof = issue(family)
        assert proof.missing == proving(family).missing
        assert "No permit on record for dam D-2." in text_of(content(proof))

    def test_nothing_said_is_about_the_law(self, family):
        words = " ".join(proving(family).missing).lower()
        assert not [w for w in ("lawful", "legal", "illegal", "valid", "must") if w in words]


class TestNumbers:
    def test_they_run_by_holding_and_year_without_a_gap(self, family):
        first, second = issue(family), issue(family)
        third = issue(family, day=date(2027, 1, 1))
        holding = make.holding().pk
        assert [x.paper.number for x in (first, second, third)] == [
            f"{holding}-2026-0001",
            f"{holding}-2026-0002",
            f"{holding}-2027-0001",
        ]

    def test_issuing_again_makes_a_new_number_that_names_the_old(self, family):
        first, second = issue(family), issue(family)
        assert list(second.earlier.all()) == [first]
        assert f"Issued before {first} of 2 Mar 2026" in text_of(content(second))
        assert "Issued before" not in text_of(content(first))

    def test_a_proof_that_fails_takes_no_number_and_leaves_no_file(self, family, monkeypatch):
        def fail(self, *args, **kwargs):
            raise RuntimeError("full")

        before = len(_files())
        with monkeypatch.context() as patch:
            patch.setattr(m.Proof, "save", fail)
            with pytest.raises(RuntimeError):
                issue(family)
        assert (len(_files()), m.Paper.objects.filter(ours=True).count()) == (before, 0)
        assert issue(family).number == 1

    def test_several_at_once_get_different_numbers(self, transactional_db, family):
        user = make.user()

        def act(_):
            try:
                p.issue(proving(m.Animal.objects.get(pk=family.pk)), by=user)
            finally:
                connection.close()

        with ThreadPoolExecutor(3) as pool:
            list(pool.map(act, range(4)))
        assert sorted(m.Proof.objects.values_list("number", flat=True)) == [1, 2, 3, 4]


def _files():
    storage = m.Paper._meta.get_field("file").storage
    try:
        folders = storage.listdir("papers")[0]
    except FileNotFoundError:
        return []
    return [f for y in folders for mo in storage.listdir(f"papers/{y}")[0]
            for f in storage.listdir(f"papers/{y}/{mo}")[1]]  # fmt: skip


class TestFrozen:
    def test_later_changes_do_not_change_an_issued_file(self, family):
        proof = issue(family)
        before = content(proof)
        make.finding(family, sex="male")
        m.Party.objects.update(address="Elsewhere")
        m.Paper.objects.create(kind="permit", number="P-78").animals.set(
            [m.Animal.objects.get(code="D-2")]
        )
        assert content(m.Proof.objects.get()) == before
        assert p.is_as_issued(m.Proof.objects.get())
        assert "No permit on record for dam D-2." in m.Proof.objects.get().missing

    def test_a_file_changed_behind_its_back_is_noticed(self, family, client):
        proof = issue(family)
        with proof.paper.file.storage.open(proof.paper.file.name, "wb") as file:
            file.write(b"%PDF-forged")
        assert not p.is_as_issued(proof)
        client.force_login(make.user())
        page = client.get(reverse("proof-show", args=[proof.pk])).content.decode()
        assert "is not the one that was issued" in page

    def test_a_proof_is_neither_changed_nor_deleted_nor_its_paper_corrected(self, family):
        proof = issue(family)
        for act in (proof.save, proof.delete, m.Proof.objects.all().delete):
            with pytest.raises(m.WrittenForGood):
                act()
        with pytest.raises(ValidationError, match="stands as it was issued"):
            proof.paper.corrected(by=make.user(), why="A slip.", number="9")
        with pytest.raises(ValidationError, match="stands as it was issued"):
            proof.paper.withdrawn(by=make.user(), why="A slip.")
        assert m.Paper.objects.current().get(ours=True) == proof.paper


class TestWhoMayHaveOne:
    def test_an_animal_that_never_was_here_has_none(self, family):
        stranger = make.animal("X-1", arrived=False)
        with pytest.raises(p.ProofRefused, match="X-1 never was here"):
            issue(stranger)

    def test_animals_of_two_holdings_have_one_each(self, family):
        other = make.animal("G-1")
        make.stay(other, make.enclosure(unit=make.unit("Yard", holding=make.holding("Gull Yard"))))
        with pytest.raises(p.ProofRefused, match="They were kept at Gull Yard and Lantern Row"):
            issue(family, other)
        assert len(p.issue_each(proving(family, other), by=make.user())) == 2

    def test_a_list_is_of_forty_at_most(self, family):
        with pytest.raises(p.ProofRefused, match="1 to 40 animals"):
            issue(*[family] * 41)


class TestPages:
    @pytest.fixture
    def keeper(self, client):
        client.force_login(make.user(rights=[RIGHT]))
        return client

    def test_the_right_is_asked_for(self, client, family):
        client.force_login(make.user())
        assert client.get(reverse("proof-issue")).status_code == 403

    def test_what_is_missing_is_shown_before_anything_is_issued(self, keeper, family):
        page = keeper.post(reverse("proof-issue"), {"animals": "Y-1", "papers": "each"})
        assert "No permit on record for dam D-2." in page.content.decode()
        assert not m.Proof.objects.exists()

    def test_then_it_is_issued_listed_and_handed_out(self, keeper, family):
        data = {"animals": "Y-1", "papers": "each", "do": "1"}
        answer = keeper.post(reverse("proof-issue"), data)
        proof = m.Proof.objects.get()
        assert answer.url == reverse("proof-show", args=[proof.pk])
        for name, args in (
            ("proof-list", []),
            ("paper-list", []),
            ("proof-show", [proof.pk]),
            ("animal-papers", [family.pk]),
        ):
            assert str(proof) in keeper.get(reverse(name, args=args)).content.decode(), name
        file = keeper.get(reverse("paper-file", args=[proof.paper_id]))
        assert b"".join(file.streaming_content) == content(proof)
        assert file["Content-Disposition"].startswith("attachment")
        assert file["X-Content-Type-Options"] == "nosniff"

    def test_several_of_one_sale_have_one_each_or_one_list(self, keeper, family):
        make.young(family.clutch, "Y-2")
        data = {"animals": "Y-1, Y-2", "do": "1"}
        keeper.post(reverse("proof-issue"), data | {"papers": "each"})
        assert m.Proof.objects.count() == 2
        keeper.post(reverse("proof-issue"), data | {"papers": "one"})
        last = m.Proof.objects.order_by("number").last()
        assert (last.number, last.paper.animals.count()) == (3, 2)
        assert last.earlier.count() == 2

    @pytest.mark.parametrize("typed", ["", "Y-99", "Y-1, Y-1", "<script>"])
    def test_nonsense_is_answered_with_a_sentence_and_issues_nothing(self, keeper, family, typed):
        data = {"animals": typed, "papers": "each", "do": "1"}
        answer = keeper.post(reverse("proof-issue"), data)
        assert answer.status_code == 200
        assert "errorlist" in answer.content.decode()
        assert "<script>" not in answer.content.decode().split("<main")[1]
        assert not m.Proof.objects.exists()

    def test_files_are_handed_only_to_those_who_are_signed_in(self, client, family):
        proof = issue(family)
        answer = client.get(reverse("paper-file", args=[proof.paper_id]))
        assert answer.url.startswith(reverse("sign-in"))
