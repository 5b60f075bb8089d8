"""Static files with a hash in their name, so a tablet never mixes an old script with a new page."""

import re
from collections.abc import Callable
from typing import Any

from whitenoise.storage import CompressedManifestStaticFilesStorage


class HashedFiles(CompressedManifestStaticFilesStorage):
    """Also rewrites `import ... from "./x.js";`, which Django leaves alone by default."""

    support_js_module_import_aggregation = True

    def url_converter(
        self, name: str, hashed_files: dict[str, Any], template: str | None = None
    ) -> Callable[[re.Match[str]], str]:
        """Scripts of installed packages are left as they are: some name files that they do not ship."""
        if name.endswith(".js") and not name.startswith("js/"):
            return lambda found: found[0]
        convert: Callable[[re.Match[str]], str] = super().url_converter(name, hashed_files, template)
        return convert
