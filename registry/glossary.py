"""The words of the register, each in a sentence or two, as its pages explain them."""

from dataclasses import dataclass

from .telling import to_tell


@dataclass(frozen=True, kw_only=True)
class Word:
    """One word: how it is written, and what it means here."""

    slug: str
    word: str
    told: str


@dataclass(frozen=True, kw_only=True)
class Chapter:
    """Words that belong together."""

    title: str
    words: tuple[Word, ...]


def _words(**told):
    return tuple(
        Word(slug=slug.replace("_", "-"), word=word, told=text)
        for slug, (word, text) in told.items()
    )


ANIMALS = _words(
    taxon=(
        "taxon",
        "A species or subspecies with the figures its keeping goes by: who may live together, days "
        "to hatching and to metamorphosis, ages at maturity and of leaving the parents.",
    ),
    grouping=(
        "adults live as",
        "Who of the adults of a taxon may share an enclosure: a pair, singly, one male with "
        "females, one female with males, or a group.",
    ),
    locality=(
        "locality",
        "The collecting place of the founders, not what an animal looks like: an exact site, an "
        "area, or a trade name only. Two records are two places; unknown differs from every known "
        "one. Young of two places are mixed, and belong to the collection of neither.",
    ),
    line=("line", "Animals of one taxon and locality, as they came with one import or breeder."),
    origin=(
        "origin",
        "The CITES source code: W wild, R ranched, C bred in captivity, F born in captivity, "
        "D, I confiscated, O pre-Convention, U unknown. The keeper sets it.",
    ),
    generation=(
        "generation",
        "How far from the wild, counted in two ways. Keepers: one more than the lowest parent to "
        "one more than the highest, wild being 0. CITES: F1 if any parent is wild.",
    ),
    mark=(
        "mark",
        "What tells an animal from others: a photograph, a ring, a chip, a supplier’s number. It "
        "may have several.",
    ),
    finding=(
        "finding",
        "On a day somebody saw, heard or measured what sex an animal is. Strong: heard calling, "
        "laid eggs, DNA, endoscopy, parent of young when that was seen or by DNA. Weak: looks, "
        "size, the seller’s word. Strong beats weak; among weak ones the latest counts.",
    ),
    contradicted=(
        "contradicted",
        "Two strong findings that differ. The animal is treated as unsexed until one is corrected.",
    ),
    counts=("1.2.3", "One male, two females, three unsexed."),
    observation=(
        "observation",
        "Something seen of an animal: its weight, that it ate or refused food, a sign of illness. "
        "A sign stays open until it is recorded gone.",
    ),
)
COMINGS = _words(
    holding=(
        "premises",
        "A place with its keepers. An animal has a holder and an owner, who differ in a loan. A "
        "move between premises is a departure and an arrival in one act.",
    ),
    party=(
        "party",
        "A person or firm: supplier, receiver, laboratory, veterinarian, authority.",
    ),
    arrival=(
        "arrival",
        "Animals that come together from one source on one day, with supplier, papers and route.",
    ),
    departure=(
        "departure",
        "An animal leaves: sale, gift, exchange, loan, death, escape, handing over.",
    ),
    several=(
        "one of these",
        "What happened to one among look-alikes, nobody knows which: it died, left, called or "
        "laid. Their number goes down at once; each is here, unless it was the one, until it is "
        "settled, or for good where it makes no difference.",
    ),
    outing=(
        "outing",
        "Out and back on the same day. If it met nobody there, the days do not begin again.",
    ),
    missing=(
        "missing",
        "Not found. After some days it counts as a death, until it is found.",
    ),
    opening_stock=(
        "opening stock",
        "Animals that were here on the day the register began, cleared by one signed act. Their "
        "arrivals keep their own dates.",
    ),
    source_group=(
        "source group",
        "What is believed of the parents of an arrival: wild and unrelated, about so many sires "
        "and dams, or nothing said. Arrivals from one breeder may share it.",
    ),
    paper=(
        "paper",
        "A permit, certificate of origin, invoice, veterinary certificate or laboratory report. "
        "Papers handed out here are numbered and kept as they were handed out.",
    ),
    proof=(
        "proof of origin",
        "A numbered paper that names an animal, its parents and how they are known, and where it "
        "was bred, frozen as it was issued.",
    ),
    register_line=(
        "register line",
        "A numbered line for each arrival, birth, death and departure. Lines are never renumbered "
        "or deleted; a mistake is corrected by a line of its own.",
    ),
    correction=(
        "correction",
        "A new entry that names the one it replaces, and why. Nothing on record is overwritten.",
    ),
)
PLACES = _words(
    unit=(
        "unit",
        "A room or rack that shares air, water, drain or tools: for residents, quarantine, or the "
        "sick. It decides the order of work.",
    ),
    enclosure=("enclosure", "A tank, tub, cup or travel box in a unit, with a code on its label."),
    stay=(
        "stay",
        "An animal or a clutch in one enclosure, from its first day up to its last, which is not "
        "counted.",
    ),
    objection=(
        "objection",
        "What a rule answers to a proposal: a stop, an ask or a note.",
    ),
    stop=("stop", "Not here. It cannot be waved through; what happened all the same is a breach."),
    ask=("ask", "Only with a written reason, which is kept."),
    note=("note", "Worth knowing; nothing needs to be answered."),
    breach=(
        "breach",
        "What did happen against a stop, entered as it happened: who and why. Who is held follows "
        "from where animals were, not from the breach.",
    ),
    conflict=(
        "conflict",
        "Entries that cannot all be true, such as a sire found to be female. Nothing is changed "
        "silently; each is listed until somebody settles it.",
    ),
)
QUARANTINE = _words(
    standing=(
        "standing",
        "What an animal is on a day: cleared; held, with why, since when and the best release day; "
        "or never to be released.",
    ),
    cleared=("cleared", "Free to live with other cleared animals: signed out, or born of such."),
    held=(
        "held",
        "Not yet cleared: a newcomer, one that met a held animal, or one somebody holds by hand. "
        "It meets nobody outside its batch.",
    ),
    never=(
        "never to be released",
        "Its protocol releases nobody. Its young may be cleared, as a batch of their own.",
    ),
    isolation=(
        "isolation",
        "One batch held apart under one version of a protocol: incoming, exposed, sick, outgoing.",
    ),
    batch=("batch", "Animals that pass or fail a quarantine together, as a whole."),
    protocol=(
        "protocol",
        "How many days a batch waits and which tests it must pass. A starting point: your "
        "veterinarian and local rules come first.",
    ),
    day_zero=(
        "day zero",
        "The day from which the days count: the opening, or later the last addition, positive that "
        "restarts, unexplained death, or meeting with a held animal.",
    ),
    best_release=(
        "best release day",
        "A forecast in which every sample still missing is taken on the first day allowed and "
        "comes back negative.",
    ),
    sample=(
        "sample",
        "Taken on a day from named animals, or from an enclosure and whoever stayed there.",
    ),
    result=(
        "result",
        "What the laboratory reported of a sample: negative, positive or inconclusive.",
    ),
    verdict=(
        "verdict",
        "What a positive means for its batch: an accepted load, this test again, all again, or "
        "the veterinarian must decide.",
    ),
    course=(
        "course",
        "A treatment of a whole batch, with its first and last dose. The dose comes from a "
        "veterinarian; the register records it and prescribes nothing.",
    ),
    clearance=(
        "clearance",
        "The signed release of a batch. The evidence is kept as it stood when it was signed.",
    ),
    changed_evidence=(
        "changed evidence",
        "An entry made after a clearance with which the rules, run for that day, say no. Until "
        "somebody decides, the animals count as held.",
    ),
    hold=("hold", "An animal, enclosure or unit held by hand: who, why, and from when."),
    exposed=(
        "exposed",
        "A cleared animal that met a held one. It is held from that day, with that batch or in one "
        "of its own.",
    ),
    meeting=(
        "meeting",
        "Being in one enclosure at the same time; coming into one not disinfected since another "
        "left; or plants, water or tools moved from one to the other.",
    ),
    trace=("trace", "Who met whom, forward in time from an animal, or back to who could be first."),
)
BREEDING = _words(
    pairing=(
        "pairing",
        "Two animals meant to breed: planned, active or ended. A pair is probable, sexed when both "
        "sexes are strong, proven once it had fertile eggs together.",
    ),
    clutch=(
        "clutch",
        "The eggs of one laying, followed through its stages: laid, fertile, hatched, carried, "
        "metamorphosed, independent. Young leave it as animals.",
    ),
    one_of=(
        "one of",
        "A parent known only as one of several, each with a share. Shares may come to less than "
        "all: the rest is an animal nobody named.",
    ),
    basis=(
        "basis",
        "What a statement rests on. Of parents: seen, DNA, housed together, the supplier’s word.",
    ),
    kinship=(
        "kinship",
        "The chance that an allele drawn at random from each of two animals is the same by "
        "descent: 1/4 for full siblings, 1/8 for half-siblings. It is the F of their young.",
    ),
    at_worst=(
        "at worst",
        "The highest the figure can be, over everything that is uncertain about the parents. The "
        "expected figure is the mean.",
    ),
    traced=(
        "traced",
        "How much of an animal’s ancestry is known back to the wild. What is not traced may hide "
        "a relation.",
    ),
    founder=(
        "founder",
        "An animal whose own parents are not on record, such as one from the wild.",
    ),
    mean_kinship=(
        "mean kinship",
        "How related an animal is to its whole line, itself included. The lower, the rarer its "
        "genes are there.",
    ),
    gene_diversity=(
        "gene diversity",
        "The part of the founders’ variety that is left: 1 less the mean kinship of the line.",
    ),
    equivalents=(
        "founder genome equivalents",
        "As many unrelated founders as would keep the same variety: 1 / (2 × mean kinship).",
    ),
)
CHAPTERS = (
    Chapter(title=to_tell("Animals"), words=ANIMALS),
    Chapter(title=to_tell("Coming, leaving, papers"), words=COMINGS),
    Chapter(title=to_tell("Places, and who may live together"), words=PLACES),
    Chapter(title=to_tell("Quarantine"), words=QUARANTINE),
    Chapter(title=to_tell("Breeding and kinship"), words=BREEDING),
)
WORDS = {word.slug: word for chapter in CHAPTERS for word in chapter.words}
