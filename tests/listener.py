"""Somebody at the terminal who is told things and answers nothing."""


class Listener:
    """Keeps what was `told`."""

    def __init__(self) -> None:
        self.told: list[str] = []

    def ask(self, question: str) -> str | None:
        return None

    def tell(self, line: str) -> None:
        self.told.append(line)
