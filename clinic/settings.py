"""How the clinic is run. The environment is read here, at the top, and nowhere else."""

import os
from pathlib import Path

from clinic.database import from_url
from clinic.logs import config
from clinic.proxies import networks
from clinic.secret import read_secret

ENV = os.environ
BASE = Path(__file__).resolve().parent.parent
DATA = Path(
    ENV.get("TAUTLINE_DATA")
    or Path(ENV.get("XDG_DATA_HOME") or Path.home() / ".local" / "share") / "tautline"
)
DEBUG = ENV.get("TAUTLINE_DEBUG", "") == "1"
TLS = ENV.get("TAUTLINE_TLS", "") == "1"
SECRET_KEY = ENV.get("TAUTLINE_SECRET_KEY") or read_secret(DATA / "secret_key")
# Keys of before, with spaces between: what they signed or sealed stays readable, nothing new takes them.
SECRET_KEY_FALLBACKS = ENV.get("TAUTLINE_SECRET_KEY_FALLBACKS", "").split()
# Whose X-Forwarded-For is believed (clinic.proxies).
TRUSTED_PROXIES = networks(ENV.get("TAUTLINE_PROXIES", ""))
ALLOWED_HOSTS = ENV.get("TAUTLINE_HOSTS", "127.0.0.1,localhost,[::1]").split(",")
DATABASES = {"default": from_url(ENV.get("DATABASE_URL", ""), DATA / "tautline.sqlite3")}
# A copy that follows a PostgreSQL: the practice review is read there (clinic.replicas).
if _copy := ENV.get("TAUTLINE_REPLICA_URL", ""):
    DATABASES["replica"] = {**from_url(_copy, DATA), "TEST": {"MIRROR": "default"}}
    DATABASE_ROUTERS = ["clinic.replicas.ReviewFromCopy"]
TIME_ZONE = ENV.get("TAUTLINE_TIME_ZONE", "UTC")
# Set by `make tablet` itself (clinic.tablet): the addresses for a tablet, the likeliest first.
TABLET_URLS = ENV.get("TAUTLINE_TABLET", "").split()
AUTHORITY = DATA / "certificates" / "authority.crt"

INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "django.forms",
    "django_htmx",
    "charting",
]
MIDDLEWARE = [
    # First: what the others answer by themselves, static files and refusals, carries them too.
    "clinic.headers.ResponseHeaders",
    "clinic.access_line.AccessLine",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "charting.staff.device.AskedFrom",
    "charting.staff.away.SignedOutByTheClock",
    "charting.handover.gate.PatientHoldsTheDevice",
    "charting.staff.clock.PracticeClock",
    "charting.staff.first_things.FirstThings",
    "django_htmx.middleware.HtmxMiddleware",
    "clinic.headers.HtmxSignIn",
    "clinic.headers.SignInFirst",
    "charting.staff.gate.OnlyTheLog",
    "django.contrib.messages.middleware.MessageMiddleware",
    "charting.merging.redirect.OneRecord",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
ROOT_URLCONF = "clinic.urls"
WSGI_APPLICATION = "clinic.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "DIRS": [BASE / "templates"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
            "builtins": ["django.templatetags.static"],
        },
    }
]
FORM_RENDERER = "clinic.forms.Pieces"

AUTH_USER_MODEL = "charting.User"
CSRF_FAILURE_VIEW = "charting.entrance.views.csrf_failed"
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.UserAttributeSimilarityValidator"},
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

SESSION_COOKIE_NAME = "__Host-session" if TLS else "session"
CSRF_COOKIE_NAME = "__Host-csrf" if TLS else "csrf"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = TLS
SESSION_COOKIE_HTTPONLY = True
CSRF_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = CSRF_COOKIE_SAMESITE = "Strict"
SESSION_EXPIRE_AT_BROWSER_CLOSE = True
SESSION_COOKIE_AGE = 12 * 60 * 60
SECURE_SSL_REDIRECT = TLS
SECURE_HSTS_SECONDS = 365 * 24 * 3600 if TLS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = TLS
# Entering a name into the browsers' preload list is the owner's decision, not ours.
SILENCED_SYSTEM_CHECKS = ["security.W021"]
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
# 256 KB is the limit of one drawing request; forms are far smaller.
DATA_UPLOAD_MAX_MEMORY_SIZE = 256 * 1024
# Papers for a chart: 10 MB and the form around them. In memory, never in a file; larger is not read at all.
FILE_UPLOAD_HANDLERS = ["django.core.files.uploadhandler.MemoryFileUploadHandler"]
FILE_UPLOAD_MAX_MEMORY_SIZE = 10 * 1024 * 1024 + 64 * 1024

STATIC_URL = "/static/"
STATIC_ROOT = DATA / "static"
STATICFILES_DIRS = [
    BASE / "static",
    ("figure", BASE / "bodymaps" / "data" / "figure"),
]
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
    "staticfiles": {
        "BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"
        if DEBUG
        else "clinic.storage.HashedFiles"
    },
}
WHITENOISE_USE_FINDERS = DEBUG
# Pictures and fonts are compressed already, and no page asks for the figure's data beside its reliefs.
WHITENOISE_SKIP_COMPRESS_EXTENSIONS = ("png", "woff2", "json", "toml", "md")

# Nothing is kept in a process: what one keeps the one beside it does not know. Static data of the release
# alone is kept, and what is named by an id that never changes (tests/test_kept_in_a_process.py).
CACHES = {"default": {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}}
# Words to the person at the screen name patients and findings: they stay here, not in a cookie of the device.
MESSAGE_STORAGE = "django.contrib.messages.storage.session.SessionStorage"

LANGUAGE_CODE = "en"
USE_I18N = True
USE_TZ = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

LOGGING = config(as_json=ENV.get("TAUTLINE_LOG", "") == "json", whole=DEBUG)
