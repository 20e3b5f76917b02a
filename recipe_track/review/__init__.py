"""What is only read and joined: changes, the past, hulls, papers, the audit."""
