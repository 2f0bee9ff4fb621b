"""The terminal must not wait for charts and typesetting."""

import subprocess
import sys


def test_terminal_loads_neither_charts_nor_typesetting():
    code = (
        "import sys, witnessmark.report.plan.terminal;"
        "import witnessmark.report.verdict.terminal, witnessmark.report.verdict.data;"
        "print([m for m in ('matplotlib', 'typst', 'jinja2') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"
