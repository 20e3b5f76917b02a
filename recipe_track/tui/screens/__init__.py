"""One screen per question; a screen decides what happens, its widgets only announce."""
