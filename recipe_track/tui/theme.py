"""Our colours: blue for what comes, orange for what goes; told apart in red-green blindness too."""

from textual.theme import Theme

NIGHT = Theme(
    name="slipway-night",
    dark=True,
    primary="#6CB4EE",
    secondary="#9CC9F0",
    accent="#F0A04B",
    foreground="#E4E8EC",
    background="#12171D",
    surface="#161D25",
    panel="#202A35",
    success="#6CB4EE",
    warning="#F0A04B",
    error="#FF8A3D",
    variables={"footer-key-foreground": "#F0A04B", "block-cursor-text-style": "bold"},
)
DAY = Theme(
    name="slipway-day",
    dark=False,
    primary="#0B5FA5",
    secondary="#2B79BD",
    accent="#A34700",
    foreground="#15202B",
    background="#F4F6F8",
    surface="#FFFFFF",
    panel="#DFE6EC",
    success="#0B5FA5",
    warning="#A34700",
    error="#A33A00",
    variables={"footer-key-foreground": "#A34700", "block-cursor-text-style": "bold"},
)
THEMES = (NIGHT, DAY)
