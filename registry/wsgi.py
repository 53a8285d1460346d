"""The door for web servers."""

import gc
import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "registry.settings")
application = get_wsgi_application()
gc.freeze()  # so that no page looks for rubbish in what the program itself is made of
