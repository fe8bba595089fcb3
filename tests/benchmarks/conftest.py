"""What a run measured is told at its end."""

import ledger


def pytest_terminal_summary(terminalreporter):
    if ledger.ROWS:
        terminalreporter.section("measured (processor time)")
        for line in ledger.lines():
            terminalreporter.write_line(line)
