"""Weather: reading files in, what a station holds, the site's year, windows, limits of a morning."""
