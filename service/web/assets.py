"""Style sheet, script and drawings: read once at start, named by content so that browsers keep them."""

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from flask import Blueprint, Response, abort, request

from service.web.permissions import open_to_all

_FOLDER: Final = Path(__file__).with_name("static")
_TYPES: Final = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}
_FOR_GOOD: Final = "public, max-age=31536000, immutable"


@dataclass(frozen=True, kw_only=True, slots=True)
class Asset:
    """One file; `version` changes with its content."""

    body: bytes
    mimetype: str
    version: str


def _read(path: Path) -> Asset:
    body = path.read_bytes()
    return Asset(body=body, mimetype=_TYPES[path.suffix], version=hashlib.sha256(body).hexdigest()[:12])


def read_assets() -> dict[str, Asset]:
    """Read all files of the static folder."""
    return {path.name: _read(path) for path in sorted(_FOLDER.iterdir()) if path.suffix in _TYPES}


def asset_pages(assets: dict[str, Asset]) -> Blueprint:
    """Return the route that serves `assets`."""
    pages = Blueprint("assets", __name__)

    @pages.get("/static/<name>")
    @open_to_all
    def serve(name: str) -> Response:
        asset = assets.get(name)
        if asset is None:
            abort(404)
        response = Response(asset.body, mimetype=asset.mimetype)
        current = request.args.get("v") == asset.version
        response.headers["Cache-Control"] = _FOR_GOOD if current else "no-cache"
        return response

    return pages
