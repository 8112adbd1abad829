"""Fetching a model's archive over a line that may be cut, stall, redirect or lie."""

from __future__ import annotations

import http.client
import urllib.error
import urllib.request
from collections.abc import Callable
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path
from typing import IO
from urllib.parse import urlsplit

from sparehand.ground.errors import FailureError, InputError
from sparehand.voice.models.model_archive import matching_archive
from sparehand.voice.models.model_catalogue import Archive, Catalogue, load_catalogue
from sparehand.voice.models.model_store import add_model

Progress = Callable[[int, int], None]
"""Called with the bytes that are there and the bytes there will be."""

STALL_SECONDS = 20.0
MOST_REDIRECTS = 4
TRIES_WITHOUT_PROGRESS = 3
"""A cut line is tried again from where it was cut; so many tries in a row that bring nothing end it."""

_CHUNK_BYTES = 1 << 16


@dataclass(frozen=True)
class Line:
    """How patient to be: seconds without a byte before a try is given up, and tries in a row that bring nothing."""

    stall_seconds: float = STALL_SECONDS
    tries: int = TRIES_WITHOUT_PROGRESS


def get_model(
    language: str, models_folder: Path, progress: Progress, catalogue: Catalogue | None = None, line: Line | None = None
) -> Path:
    """Fetch and install the language's model; gives its folder.

    What was fetched before a cut is kept for the next call. Raises FailureError where the line fails, and InputError
    for a language without a model to fetch.
    """
    catalogue = catalogue or load_catalogue()
    archive = catalogue.of(language).download
    if archive is None:
        raise InputError(f"the model for '{language}' cannot be fetched; install a file with `sparehand models add`")
    file = fetch(archive, models_folder / ".fetched", progress, line or Line())
    folder = add_model(language, file, models_folder, catalogue)
    file.unlink()
    return folder


def fetch(archive: Archive, folder: Path, progress: Progress, line: Line) -> Path:
    """The archive's file in `folder`, fetched as far as it is not there yet, its size and hash as published.

    Raises FailureError where the line fails or what came is not the archive; a wrong file is not kept.
    """
    whole = folder / archive.file
    partial = folder / f"{archive.file}.part"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        if not whole.exists():
            _fetch_rest(archive, partial, progress, line)
            partial.rename(whole)
    except OSError as error:
        raise FailureError(f"{folder}: the model cannot be written there ({error.strerror or error})") from error
    try:
        matching_archive(whole, (archive,))
    except InputError as error:
        whole.unlink()
        raise FailureError(f"{archive.url}: what came is not the published file; nothing was installed") from error
    return whole


def _fetch_rest(archive: Archive, partial: Path, progress: Progress, line: Line) -> None:
    failures = 0
    while (have := _size(partial)) < archive.bytes:
        try:
            _one_try(archive, partial, progress, line)
            reason = "the line was cut"
        except (urllib.error.URLError, http.client.HTTPException, TimeoutError, ConnectionError) as error:
            reason = _in_words(error)
            if isinstance(error, urllib.error.HTTPError) and error.code < 500:
                if error.code == HTTPStatus.REQUESTED_RANGE_NOT_SATISFIABLE:
                    partial.unlink(missing_ok=True)
                raise _give_up(archive, reason) from error
        failures = failures + 1 if _size(partial) <= have else 0
        if failures >= line.tries:
            raise _give_up(archive, reason)


def _one_try(archive: Archive, partial: Path, progress: Progress, line: Line) -> None:
    have = _size(partial)
    address = archive.url or ""
    request = urllib.request.Request(address, headers={"User-Agent": "sparehand"})  # noqa: S310 - https by its model
    if have:
        request.add_header("Range", f"bytes={have}-")
    opener = urllib.request.build_opener(_FewRedirects(secure=archive.url is not None and _is_secure(archive.url)))
    with opener.open(request, timeout=line.stall_seconds) as reply:
        goes_on = reply.status == HTTPStatus.PARTIAL_CONTENT and str(reply.headers.get("Content-Range", "")).startswith(
            f"bytes {have}-"
        )
        with partial.open("ab" if goes_on else "wb") as file:
            _receive(reply, file, archive, progress, have if goes_on else 0)


def _receive(reply: IO[bytes], file: IO[bytes], archive: Archive, progress: Progress, have: int) -> None:
    progress(have, archive.bytes)
    while have < archive.bytes and (chunk := reply.read(min(_CHUNK_BYTES, archive.bytes - have))):
        file.write(chunk)
        have += len(chunk)
        progress(have, archive.bytes)


class _FewRedirects(urllib.request.HTTPRedirectHandler):
    max_redirections = MOST_REDIRECTS

    def __init__(self, *, secure: bool) -> None:
        self._secure = secure

    def redirect_request(
        self,
        req: urllib.request.Request,
        fp: IO[bytes],
        code: int,
        msg: str,
        headers: http.client.HTTPMessage,
        newurl: str,
    ) -> urllib.request.Request | None:
        if self._secure and not _is_secure(newurl):
            raise urllib.error.URLError("it redirects to an address that is not secure")
        return super().redirect_request(req, fp, code, msg, headers, newurl)


def _is_secure(url: str) -> bool:
    return urlsplit(url).scheme == "https"


def _in_words(error: Exception) -> str:
    if isinstance(error, urllib.error.HTTPError):
        return f"the server answers {error.code} {error.msg}".splitlines()[0]
    cause = error.reason if isinstance(error, urllib.error.URLError) else error
    return "no answer in time" if isinstance(cause, TimeoutError) else str(cause)


def _give_up(archive: Archive, reason: str) -> FailureError:
    return FailureError(
        f"{archive.url}: {reason}; try `sparehand models get` again (it goes on where it was cut), "
        "or bring the file and use `sparehand models add`"
    )


def _size(path: Path) -> int:
    return path.stat().st_size if path.exists() else 0
