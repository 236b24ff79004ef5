"""Django's settings of one shop, taken from its folder and a few environment variables."""

from __future__ import annotations

import os
from pathlib import Path

from gambrel.shop.place import Place, named_hosts

HERE = Path(__file__).parent
PLACE = Place.from_environment()
PAGES = ("base", "setup", "people", "today", "rail", "cooler", "ribface", "forecast", "plan", "block",
         "grind", "packs", "stock", "counter", "trace", "prices", "orders", "shares", "bid", "compare",
         "animals", "books", "learn", "exchange")  # fmt: skip
"""Folders of pages, one a step, in the order of the menu."""

SECRET_KEY = PLACE.secret()
DEBUG = False
ALLOWED_HOSTS = [*named_hosts(), "localhost", "127.0.0.1", "[::1]"]
HTTPS = os.environ.get("GAMBREL_HTTPS") == "1"
"""Set where a proxy in front speaks HTTPS: cookies then travel by HTTPS alone."""

ROOT_URLCONF = "gambrel.shop.urls"
WSGI_APPLICATION = "gambrel.shop.wsgi.application"
INSTALLED_APPS = [
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "axes",
    "ninja",
    "gambrel.shop.records",
    *(f"gambrel.shop.pages.{name}" for name in PAGES),
]
MIDDLEWARE = [
    "gambrel.shop.safety.SafeHeaders",
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "gambrel.shop.preferences.AsThePersonLikes",
    "gambrel.shop.access.GuardEveryPage",
    "axes.middleware.AxesMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "gambrel.shop.preferences.on_every_page",
            ],
            "builtins": ["gambrel.shop.pages.base.templatetags.figures", "django.templatetags.i18n"],
        },
    }
]

DATABASES = {"default": PLACE.database()}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_USER_MODEL = "records.Person"
AUTHENTICATION_BACKENDS = ["axes.backends.AxesStandaloneBackend", "django.contrib.auth.backends.ModelBackend"]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
    {"NAME": "django.contrib.auth.password_validation.NumericPasswordValidator"},
]
LOGIN_URL = "/sign-in/"

AXES_FAILURE_LIMIT = 5
AXES_COOLOFF_TIME = 0.25
"""Hours that a name and address stay locked after too many wrong passwords."""
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_USERNAME_CALLABLE = "gambrel.shop.access.name_tried"
AXES_LOCKOUT_TEMPLATE = "people/locked.html"
AXES_RESET_ON_SUCCESS = True
AXES_VERBOSE = False

SESSION_COOKIE_AGE = 12 * 3600
"""A working day; the block's tablet is signed in anew each morning."""
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
CSRF_COOKIE_HTTPONLY = True
CSRF_FAILURE_VIEW = "gambrel.shop.safety.form_too_old"
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
X_FRAME_OPTIONS = "DENY"

USE_TZ = True
TIME_ZONE = "UTC"
USE_I18N = True
LANGUAGE_CODE = "en"
FORMAT_MODULE_PATH = ["gambrel.shop.formats"]
LANGUAGES = [("en", "English"), ("es", "Español")]
LOCALE_PATHS = [HERE / "locale", *(HERE / "pages" / name / "locale" for name in PAGES)]

STATIC_URL = "/static/"
STORAGES = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
}
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False

DATA_UPLOAD_MAX_MEMORY_SIZE = 2_500_000
FILE_UPLOAD_MAX_MEMORY_SIZE = 5_000_000
DATA_UPLOAD_MAX_NUMBER_FIELDS = 2000
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "loggers": {
        "django": {"handlers": ["console"], "level": "WARNING"},
        "axes": {"handlers": ["console"], "level": "ERROR"},
        # That a question waits a moment for a free thread is nothing to tell whoever started the shop.
        "waitress.queue": {"handlers": ["console"], "level": "ERROR"},
    },
}
