"""One file of settings, read from the environment; each has a default that works on one machine."""

import os
import secrets
from pathlib import Path
from urllib.parse import parse_qsl, unquote, urlsplit

from django.core.exceptions import ImproperlyConfigured
from django.utils.csp import CSP

BASE_DIR = Path(__file__).resolve().parent.parent
DATA_DIR = Path(os.environ.get("KINWARD_DATA", BASE_DIR / "var"))


def flag(name, default="0"):
    """Return whether a variable is set to 1, true, yes or on."""
    return os.environ.get(name, default).strip().lower() in {"1", "true", "yes", "on"}


def words(name, default=""):
    """Return the comma-separated words of a variable."""
    return [w.strip() for w in os.environ.get(name, default).split(",") if w.strip()]


def kept_secret():
    """Return the secret key of this installation, made once and kept beside the data."""
    path = DATA_DIR / "secret.key"
    if not path.exists():
        DATA_DIR.mkdir(parents=True, exist_ok=True)
        fresh = path.with_suffix(f".{os.getpid()}")
        fresh.touch(mode=0o600)
        fresh.write_text(secrets.token_urlsafe(60))
        try:
            os.link(fresh, path)  # the first process wins; the others read its key
        except OSError:
            if not path.exists():
                fresh.replace(path)
        fresh.unlink(missing_ok=True)
    return path.read_text().strip()


def database(address):
    """Return Django's database settings for a postgresql:// or sqlite:// address."""
    url = urlsplit(address)
    if url.scheme == "sqlite":
        return sqlite(Path(unquote(url.path)[1:] or DATA_DIR / "kinward.sqlite3"))
    if url.scheme not in {"postgres", "postgresql"}:
        raise ImproperlyConfigured("DATABASE_URL starts with postgresql:// or sqlite://.")
    return {
        "ENGINE": "django.db.backends.postgresql",
        "NAME": unquote(url.path[1:]),
        "USER": unquote(url.username or ""),
        "PASSWORD": unquote(url.password or ""),
        "HOST": url.hostname or "",
        "PORT": str(url.port or ""),
        "CONN_MAX_AGE": 60,
        "CONN_HEALTH_CHECKS": True,
        "OPTIONS": dict(parse_qsl(url.query)),
    }


def sqlite(path):
    """Return settings for one SQLite file; a writer waits its turn rather than failing."""
    path.parent.mkdir(parents=True, exist_ok=True)
    return {
        "ENGINE": "django.db.backends.sqlite3",
        "NAME": path,
        "OPTIONS": {
            "transaction_mode": "IMMEDIATE",
            "timeout": 20,
            "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL;",
        },
    }


DEBUG = flag("KINWARD_DEBUG")
HTTPS = flag("KINWARD_HTTPS")
SECRET_KEY = os.environ.get("KINWARD_SECRET_KEY") or kept_secret()
ALLOWED_HOSTS = words("KINWARD_HOSTS", "localhost,127.0.0.1,[::1]")
CSRF_TRUSTED_ORIGINS = words("KINWARD_ORIGINS")
DATABASES = {"default": database(os.environ.get("DATABASE_URL", "sqlite://"))}

INSTALLED_APPS = [
    "registry",
    "quarantine",
    "django.forms",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.humanize",
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "django_filters",
    "django_htmx",
]

MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "django.middleware.csp.ContentSecurityPolicyMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.locale.LocaleMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.auth.middleware.LoginRequiredMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "django_htmx.middleware.HtmxMiddleware",
    "registry.shelf.one_page",
]

# Every rule is named here, in the order in which its objections are shown.
PLACEMENT_RULES = [
    "registry.rules.animals_are_alive_and_here",
    "registry.rules.moves_stay_on_the_premises",
    "registry.rules.those_who_may_be_gone_are_told",
    "registry.rules.animals_are_in_one_place",
    "quarantine.rules.newcomers_are_cleared",
    "quarantine.rules.enclosures_are_disinfected",
    "registry.rules.taxa_cannot_cross",
    "registry.rules.taxa_live_apart",
    "registry.rules.localities_live_apart",
    "registry.rules.grouping_is_kept",
    "registry.rules.unsexed_may_be_rivals",
    "registry.rules.young_would_not_be_inbred",
    "registry.rules.young_leave_their_parents",
    "registry.rules.enclosure_has_room",
    "quarantine.rules.units_are_not_mixed",
    "quarantine.delay_rules.no_move_delays_a_batch_unseen",
]
PAIRING_RULES = PLACEMENT_RULES
DEPARTURE_RULES = [
    "registry.departure_rules.departures_have_happened",
    "registry.departure_rules.those_who_leave_are_here",
    "registry.departure_rules.those_not_found_are_found_first",
    "registry.departure_rules.receivers_are_named",
    "registry.departure_rules.premises_here_receive_in_one_act",
    "registry.departure_rules.loans_are_due_back_after_they_begin",
    "registry.departure_rules.owners_part_with_what_is_theirs",
    "registry.departure_rules.no_more_leave_than_there_were",
    "registry.departure_rules.nothing_is_entered_after_leaving",
    "registry.departure_rules.pairs_are_parted",
    "quarantine.rules.leavers_are_cleared",
    "quarantine.delay_rules.no_death_delays_a_batch_unseen",
]
# Told whom something is of now that was entered of one of several: `(event, animals, by, why, at)`.
SETTLING_TOLD = ["quarantine.examining.carcass_is_of"]
CARRYING_RULES = ["quarantine.delay_rules.no_thing_delays_a_batch_unseen"]

# What quarantine tells the register's pages, by name: `(animals, on) -> {animal.pk: Standing}`.
STANDINGS = "quarantine.held.standings"
TODAY_SECTIONS = [
    "quarantine.daily.batches_to_attend",
    "quarantine.daily.held_outside",
    "registry.daily.one_of_these_open",
    "registry.daily.objections_standing",
    "registry.daily.young_to_move",
    "registry.daily.loans_due",
    "registry.daily.breaches_open",
    "registry.daily.conflicts_listed",
    "quarantine.daily.order_of_work",
]

# From an empty register to one in use, in this order: `(on, user) -> Step`.
BEGINNING_STEPS = [
    "registry.beginning.premises_are_named",
    "registry.beginning.species_are_chosen",
    "registry.beginning.units_are_named",
    "registry.beginning.enclosures_are_numbered",
    "registry.beginning.animals_are_listed",
    "quarantine.opening.opening_stock_is_cleared",
]

# What the help page tells, each read from the code: `() -> HelpSection`.
HELP_SECTIONS = [
    "registry.helping.rules_on_company",
    "registry.helping.rules_on_leaving",
    "registry.helping.thresholds",
    "quarantine.helping.protocols",
    "quarantine.helping.thresholds",
]

# What else the search box finds: `(text) -> Kind`.
SEARCH_ALSO = ["quarantine.searching.batches", "quarantine.searching.samples"]

ROOT_URLCONF = "registry.urls"
WSGI_APPLICATION = "registry.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE_DIR / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    },
]

# Forms are drawn by templates/django/forms.
FORM_RENDERER = "django.forms.renderers.TemplatesSetting"

AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"

# Mails are in this language, pages in that of who reads them.
LANGUAGE_CODE = os.environ.get("KINWARD_LANGUAGE", "en-gb")
LANGUAGES = [("en-gb", "English"), ("de", "Deutsch")]
LANGUAGE_COOKIE_AGE = 31_536_000
LANGUAGE_COOKIE_SECURE = HTTPS
LANGUAGE_COOKIE_HTTPONLY = True
LANGUAGE_COOKIE_SAMESITE = "Lax"
LOCALE_PATHS = [BASE_DIR / "registry" / "locale"]
FORMAT_MODULE_PATH = ["registry.formats"]
TIME_ZONE = os.environ.get("KINWARD_TIME_ZONE", "UTC")
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
WHITENOISE_USE_FINDERS = True  # served from where they lie: nothing to collect
MEDIA_ROOT = DATA_DIR / "media"
MEDIA_URL = "files/"
PAPER_MAX_BYTES = 10 * 1024 * 1024
DATA_UPLOAD_MAX_MEMORY_SIZE = 5 * 1024 * 1024
DATA_UPLOAD_MAX_NUMBER_FIELDS = 20_000
FILE_UPLOAD_PERMISSIONS = 0o640

# Long work is done while its asker waits, or by `manage.py db_worker` in its turn.
TASK_BACKENDS = {
    "immediate": "django.tasks.backends.immediate.ImmediateBackend",
    "database": "django_tasks_db.DatabaseBackend",
}
TASKS_DONE = os.environ.get("KINWARD_TASKS", "immediate").strip().lower()
if TASKS_DONE not in TASK_BACKENDS:
    raise ImproperlyConfigured("KINWARD_TASKS is immediate or database.")
TASKS = {"default": {"BACKEND": TASK_BACKENDS[TASKS_DONE]}}
if TASKS_DONE == "database":
    INSTALLED_APPS.append("django_tasks_db")

# A page loads nothing from elsewhere and runs no script written into it.
SECURE_CSP = {
    "default-src": [CSP.SELF],
    "img-src": [CSP.SELF, "data:"],
    "object-src": [CSP.NONE],
    "base-uri": [CSP.NONE],
    "form-action": [CSP.SELF],
    "frame-ancestors": [CSP.NONE],
}
X_FRAME_OPTIONS = "DENY"
SECURE_REFERRER_POLICY = "same-origin"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
if HTTPS and flag("KINWARD_BEHIND_PROXY"):
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")

MAIL_HOST = os.environ.get("KINWARD_MAIL_HOST", "")
MAIL_PORT = int(os.environ.get("KINWARD_MAIL_PORT", "25"))
MAIL_FROM = os.environ.get("KINWARD_MAIL_FROM", "kinward@localhost")
MAILERS = {
    "default": {
        "BACKEND": "django.core.mail.backends.smtp.EmailBackend",
        "OPTIONS": {
            "host": MAIL_HOST,
            "port": MAIL_PORT,
            "username": os.environ.get("KINWARD_MAIL_USER", ""),
            "password": os.environ.get("KINWARD_MAIL_PASSWORD", ""),
            "use_ssl": MAIL_PORT == 465,
            "use_tls": MAIL_PORT != 465 and flag("KINWARD_MAIL_TLS"),
            "timeout": 30,
        },
    }
    if MAIL_HOST
    else {"BACKEND": "django.core.mail.backends.console.EmailBackend"}
}
