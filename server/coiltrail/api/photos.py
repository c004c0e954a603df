"""Photos, recordings and signatures: uploads in pieces, and the files back."""

import re

from flask import Response, request, send_file

from ..config import Config, settings
from ..core.tongue import phrase
from ..store import handed_in, media, photos, sounds
from .errors import refuse
from .guard import shut_out_device, signed_in_device
from .resource import FROM_THE_APPLICATION, Resource, header, path

blueprint = Resource("photos", __name__, url_prefix="/api/photos", description="Photos and recordings by SHA-256")

_KEEP = "private, max-age=31536000, immutable"  # a name that is a hash never means anything else
_ALONE = "default-src 'none'; sandbox"  # a picture opened by itself may do nothing


_NAME = path("sha256", {"type": "string", "pattern": "^[0-9a-f]{64}$"}, "SHA-256 of the file in small letters.")
_MEDIA = {media_type: {} for media_type in (*media.PICTURES.values(), *sounds.TYPES)}
_BYTES = {"type": "integer", "minimum": 0}
_LARGEST = Config.photo_limit
_TOLD = {
    "headers": {
        "Upload-Offset": {"description": "How many bytes are here.", "schema": _BYTES},
        "Upload-Length": {"description": "How many the whole has, where that is known.", "schema": _BYTES},
        "Upload-Complete": {
            "description": "?1: all of it is here.",
            "schema": {"type": "string", "enum": ["?0", "?1"]},
        },
    }
}


@blueprint.route("/<string:sha256>", methods=["HEAD"], parameters=_NAME)
@blueprint.doc(
    summary="How much of a file the shop has",
    responses={"200": {"description": "The headers tell.", **_TOLD}},
)
@blueprint.refuses(404, 422)
def ask_progress(sha256: str) -> Response:
    """How many bytes are here (``Upload-Offset``) and whether that is all (``Upload-Complete``)."""
    try:
        return _told(200, photos.progress(_shop_sent_to(sha256), _hash(sha256)))
    except media.Unfit as unfit:
        refuse(422, "unfit", str(unfit))


@blueprint.route("/<string:sha256>", methods=["PATCH"], parameters=_NAME)
@blueprint.doc(
    summary="Send a piece of a file, from the offset that HEAD told",
    parameters=[
        FROM_THE_APPLICATION,
        header("Upload-Offset", _BYTES | {"maximum": _LARGEST}, "Where the piece begins."),
        header("Upload-Length", _BYTES | {"minimum": 1, "maximum": _LARGEST}, "How many bytes the whole has."),
    ],
    requestBody={"required": True, "content": {"application/octet-stream": {"schema": {"type": "string"}}}},
    responses={"204": {"description": "The piece is here.", **_TOLD}},
)
@blueprint.refuses(404, 409, 411, 413, 422, 507)
def add_piece(sha256: str) -> Response:
    """Add the body at ``Upload-Offset`` to a file of ``Upload-Length`` bytes."""
    name = _hash(sha256)
    offset, size = _number("Upload-Offset"), _number("Upload-Length")
    limit = settings().photo_limit
    if not 1 <= size <= limit:
        refuse(
            413,
            "too_large",
            phrase("Upload-Length: a file has from 1 to {limit} bytes. Send the picture reduced.", limit=limit),
        )
    piece = _piece()
    if offset + len(piece) > size:
        refuse(
            400,
            "too_long",
            phrase("Upload-Offset: the piece reaches beyond Upload-Length; ask for the offset with HEAD."),
        )
    try:
        return _told(204, photos.add_piece(_shop_sent_to(name), name, offset, size, piece))
    except photos.Disagrees as disagrees:
        headers = {key.replace("-", "_"): value for key, value in _headers(disagrees.progress).items()}
        refuse(
            409, "other_offset", phrase("The shop has another part of this file; go on from Upload-Offset."), **headers
        )
    except photos.WrongHash:
        refuse(422, "wrong_hash", phrase("What arrived is not what its name says. Send the file again from the start."))
    except media.Unfit as unfit:
        refuse(422, "unfit", str(unfit))


@blueprint.get("/<string:sha256>", parameters=_NAME)
@blueprint.doc(
    summary="The file",
    responses={
        "200": {"description": "The file.", "content": _MEDIA},
        "206": {"description": "The part asked for by Range.", "content": _MEDIA},
        "304": {"description": "It is what the phone has."},
    },
)
@blueprint.refuses(404, 412, 416)
def read(sha256: str) -> Response:
    """The whole file, once it has arrived."""
    path, row = _complete(sha256)
    return _sent(path, row.media_type)


@blueprint.get("/<string:sha256>/thumb", parameters=_NAME)
@blueprint.doc(
    summary="A small upright picture",
    responses={
        "200": {"description": "The picture.", "content": {"image/jpeg": {}}},
        "206": {"description": "The part asked for by Range.", "content": {"image/jpeg": {}}},
        "304": {"description": "It is what the phone has."},
    },
)
@blueprint.refuses(404, 412, 416)
def read_thumbnail(sha256: str) -> Response:
    """The picture at about 320 px, turned upright."""
    path, row = _complete(sha256)
    if row.width is None:
        refuse(404, "not_found", phrase("A recording has no small picture."))
    return _sent(photos.thumbnail(path, row.sha256), "image/jpeg")


def _complete(sha256: str):
    found = photos.complete_file(_shop_id(), _hash(sha256))
    if found is None:
        refuse(
            404, "not_found", phrase("The shop does not have this file yet; the phone that took it may still have it.")
        )
    return found


def _sent(path, media_type: str) -> Response:
    response = send_file(path, mimetype=media_type, conditional=True, etag=path.stem)
    response.headers["Cache-Control"] = _KEEP
    response.headers["Content-Security-Policy"] = _ALONE
    return response


def _shop_id() -> str:
    return signed_in_device().person.shop_id


def _shop_sent_to(sha256: str) -> str:
    """The shop of the device that sends; one that was shut out sends only what it handed in the entry of."""
    device = signed_in_device()
    if device is None:
        device = shut_out_device()
        if not handed_in.may_send(device, sha256):
            refuse(404, "not_found", phrase("This device was shut out: hand in the entry that names this file first."))
    return device.person.shop_id


def _hash(text: str) -> str:
    if not re.fullmatch("[0-9a-f]{64}", text):
        refuse(404, "not_found", phrase("A file is named by its SHA-256: 64 digits and small letters a to f."))
    return text


def _number(header: str) -> int:
    text = request.headers.get(header, "")
    if not re.fullmatch("[0-9]{1,12}", text):
        refuse(400, "bad_header", phrase("{header}: give a whole number of bytes, 0 or more.", header=header))
    return int(text)


def _piece() -> bytes:
    request.max_content_length = settings().piece_limit
    return request.get_data(cache=False)


def _told(status: int, progress: photos.Progress) -> Response:
    response = Response(status=status, headers=_headers(progress))
    response.headers["Cache-Control"] = "no-store"
    return response


def _headers(progress: photos.Progress) -> dict[str, str]:
    headers = {"Upload-Offset": str(progress.received), "Upload-Complete": "?1" if progress.complete else "?0"}
    if progress.size is not None:
        headers["Upload-Length"] = str(progress.size)
    return headers
