"""Paper: printed sheets, and keying them back."""
