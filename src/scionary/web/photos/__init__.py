"""Photos that are kept with a note: of a plant, a dome, a mother tree, a bag or a stock lot."""
