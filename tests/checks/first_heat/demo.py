"""The demo's first heat, made by the demo's own maker, which is no package."""

import importlib.util
import sys
from pathlib import Path

DEMO = Path(__file__).parents[3] / "demo"


def demo_recording(path: Path) -> Path:
    """Write it to a path, and return the path."""
    sys.path.insert(0, str(DEMO))
    try:
        spec = importlib.util.spec_from_file_location("first_heat_demo", DEMO / "first_heat.py")
        assert spec is not None
        assert spec.loader is not None
        maker = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(maker)
    finally:
        sys.path.remove(str(DEMO))
    maker.main(path)
    return path
