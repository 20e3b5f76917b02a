"""What a screen asks of the app."""

from textual.message import Message


class CompareWanted(Message):
    """Two revisions, as typed or as commit ids, and the zone to begin with."""

    def __init__(self, before: str, after: str, zone: str | None = None) -> None:
        super().__init__()
        self.before, self.after, self.zone = before, after, zone
