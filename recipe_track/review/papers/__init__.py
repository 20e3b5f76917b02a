"""What goes out on paper: layup sheets and bills of materials."""
