"""Long work beside the pages: how far it is, and how to stop it."""
