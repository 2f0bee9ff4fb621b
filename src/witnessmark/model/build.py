"""The build sheet of one engine. Its parts stand in model/build_sheet; this is its front."""

from witnessmark.model.build_sheet.parse import parse_build
from witnessmark.model.build_sheet.sheet import BuildSheet

__all__ = ["BuildSheet", "parse_build"]
