"""Records: what the technician kept, read, checked and stored."""
