"""Specifications made into pictures, and into what a page runs: offline, without a browser.

The one place that knows the renderer. Nothing is fetched: addresses of data are refused.
"""

from __future__ import annotations

from typing import Any, Final

import vl_convert

__all__ = ["compiled", "pdf", "png", "runtime", "svg"]

VEGA_LITE: Final = "6.4"
_NOWHERE: Final[tuple[str, ...]] = ()
"""Addresses that data may be fetched from."""

Spec = dict[str, Any]


def png(spec: Spec) -> bytes:
    """Return a picture of exactly as many pixels as the specification says."""
    return vl_convert.vegalite_to_png(spec, vl_version=VEGA_LITE, scale=1.0, ppi=72.0, allowed_base_urls=list(_NOWHERE))


def svg(spec: Spec) -> str:
    """Return a picture of lines and text."""
    return vl_convert.vegalite_to_svg(spec, vl_version=VEGA_LITE, allowed_base_urls=list(_NOWHERE))


def pdf(spec: Spec) -> bytes:
    """Return a page with the letters' outlines inside."""
    return vl_convert.vegalite_to_pdf(spec, vl_version=VEGA_LITE, allowed_base_urls=list(_NOWHERE))


def compiled(spec: Spec) -> Spec:
    """Return the specification compiled to Vega, which is what the runtime of a page understands."""
    return vl_convert.vegalite_to_vega(spec, vl_version=VEGA_LITE)


def runtime(snippet: str) -> str:
    """Return a script that holds the runtime and a snippet that uses it; it asks for nothing outside itself."""
    return vl_convert.javascript_bundle(snippet, vl_version=VEGA_LITE)
