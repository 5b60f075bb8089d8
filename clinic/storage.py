"""Static files with a hash in their name, so a tablet never mixes an old script with a new page."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):
    """Also rewrites `import ... from "./x.js";`, which Django leaves alone by default."""

    support_js_module_import_aggregation = True
