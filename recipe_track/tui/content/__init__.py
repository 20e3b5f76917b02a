"""What the screens say, as content without markup; no widget is touched here."""
