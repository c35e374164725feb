"""The pages, one folder a part."""
