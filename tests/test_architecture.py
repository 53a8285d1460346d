"""The house holds: imports go down only, rooms stay small, the top level is the agreed one."""

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings
from django.test import override_settings

from registry.checks import rules_can_be_found
from tests import addresses

ROOT = Path(__file__).parent.parent
APPS = ("registry", "quarantine")
PURE = (
    "registry.assigning",
    "registry.lineage",
    "registry.charts.pedigree",
    "registry.charts.drawing",
    "registry.charts.files",
    "quarantine.clock",
    "quarantine.contacts",
    "quarantine.standing",
    "quarantine.traces",
    "quarantine.protocols",
)
TOP = {
    *("README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "manage.py", "pyproject.toml"),
    *("registry", "quarantine", "templates", "tests", "fixtures"),
    *(".ci", ".python-version", ".gitignore", ".gitattributes", ".editorconfig"),
    *("requirements.txt", "requirements-dev.txt"),
}
LAYERS = ("models", "placement", "forms", "views")  # each may import those before it, not after


def sources(*folders):
    """Return the Python files of some folders, migrations left out."""
    found = (p for folder in folders for p in (ROOT / folder).rglob("*.py"))
    return sorted(p for p in found if "migrations" not in p.parts)


def imported(path):
    """Return the full names of the modules a file imports, at any depth of it."""
    package = path.relative_to(ROOT).with_suffix("").parts[:-1]
    names = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            above = package[: len(package) - node.level + 1] if node.level else ()
            base = ".".join([*above, *filter(None, [node.module])])
            names |= {base} | {f"{base}.{alias.name}" for alias in node.names}
    return names


@pytest.mark.parametrize("module", PURE)
def test_a_pure_module_runs_where_django_is_not(module):
    """With Django barred from the process, the module still imports."""
    bar = "import sys; sys.modules['django'] = None; "
    done = subprocess.run(
        [sys.executable, "-c", f"{bar}import {module}"], cwd=ROOT, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr


def test_the_register_never_imports_quarantine():
    """It knows of it only by strings in the settings."""
    guilty = [
        str(p.relative_to(ROOT))
        for p in sources("registry")
        if any(n == "quarantine" or n.startswith("quarantine.") for n in imported(p))
    ]
    assert guilty == []


@pytest.mark.parametrize("lower", [0, 1, 2])
def test_imports_go_down_only(lower):
    """Models know no door, doors know no form, forms know no page."""
    name, above = LAYERS[lower], LAYERS[lower + 1 :]
    files = [p for p in sources("registry") if name in p.relative_to(ROOT).with_suffix("").parts]
    assert files
    guilty = [
        (str(p.relative_to(ROOT)), n)
        for p in files
        for n in imported(p)
        if any(n.startswith(f"registry.{layer}") for layer in above)
    ]
    assert guilty == []


def test_only_the_door_makes_stays():
    """No other code of the site creates a stay."""
    made = (r"\bStay\.objects\.(create|bulk_create|get_or_create)\b", r"(?<![\w.])Stay\(")
    makes = re.compile("|".join((*made, r"\bmodels\.Stay\(")))
    # The facts of quarantine have a Stay too, which is a plain value and no row.
    models = {"registry.models.Stay", "registry.models.stays.Stay"}
    guilty = [
        str(p.relative_to(ROOT))
        for p in sources(*APPS)
        if models & imported(p) and makes.search(p.read_text())
        if p.name not in {"placement.py", "stays.py"}
    ]
    assert guilty == []


def test_no_file_is_longer_than_400_lines():
    """A longer module becomes a folder."""
    long = {
        str(p.relative_to(ROOT)): n
        for p in sources(*APPS, "tests")
        if (n := len(p.read_text().splitlines())) > 400
    }
    assert long == {}


def test_no_style_or_script_is_longer_than_400_lines():
    """Ours, that is: a library comes as it is, in its own package."""
    files = [p for p in (ROOT / "registry" / "static").rglob("*.*") if p.suffix in {".css", ".js"}]
    assert {p.name: n for p in files if (n := len(p.read_text().splitlines())) > 400} == {}


def test_no_view_is_longer_than_25_lines():
    """A view fetches, reads the form, acts and redirects."""
    long = []
    for path in [p for p in sources(*APPS) if "views" in str(p.relative_to(ROOT))]:
        for node in ast.parse(path.read_text()).body:
            if isinstance(node, ast.FunctionDef):
                body = node.end_lineno - node.lineno + 1
                if body > 25:
                    long.append((path.name, node.name, body))
    assert long == []


def test_no_template_is_longer_than_80_lines():
    """A longer page is put together from pieces."""
    pages = (ROOT / "templates").rglob("*.html")
    assert [str(p) for p in pages if len(p.read_text().splitlines()) > 80] == []


def test_every_module_says_what_it_is():
    """Each file that holds code opens with a sentence."""
    silent = [
        str(p.relative_to(ROOT))
        for p in sources(*APPS, "tests")
        if p.read_text().strip() and not ast.get_docstring(ast.parse(p.read_text()))
    ]
    assert silent == []


def test_nothing_stands_outside_the_agreed_top():
    """The top level is the one the house agreed on."""
    done = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if done.returncode:
        pytest.skip("Not a git checkout: clone the repository to check its top level.")
    assert {line.split("/")[0] for line in done.stdout.splitlines()} <= TOP


def test_the_lock_holds_hashes_and_no_addresses():
    """Requirements are pinned by hash, and name no host."""
    for path in ROOT.glob("requirements*.txt"):
        text = path.read_text()
        assert "--hash=sha256:" in text
        assert not re.search(r"https?://|--index-url", text)


@pytest.mark.django_db  # some checks ask the database what it can
@pytest.mark.parametrize("setting", ["PLACEMENT_RULES", "PAIRING_RULES", "DEPARTURE_RULES"])
@pytest.mark.parametrize("path", ["registry.rules.no_such_rule", "registry.nowhere.rule", "none"])
def test_a_rule_that_cannot_be_found_stops_the_start(setting, path):
    """The system check names the setting and the rule."""
    with override_settings(**{setting: [path]}):
        problems = rules_can_be_found(None)
    assert {e.id for e in problems} == {"registry.E001"}
    assert any(setting in e.msg and path in e.msg for e in problems)


@pytest.mark.django_db  # some checks ask the database what it can
def test_every_rule_in_force_is_found():
    """The settings as shipped start."""
    assert rules_can_be_found(None) == []
    assert "quarantine.rules.newcomers_are_cleared" in settings.PLACEMENT_RULES


def test_every_address_is_looked_at_or_named_as_no_page():
    """A new address says in tests/addresses.py what is shown there, or that it is no page."""
    assert addresses.OTHERS - addresses.names() == set()
    assert [n for n in addresses.pages() if not addresses.says_what_it_shows(n)] == []
