"""What people do: read a snapshot, write one commit."""
