"""Which characters are hardest to mistake for one another on a small, worn label: measured."""
