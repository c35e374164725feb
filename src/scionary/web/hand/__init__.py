"""In the hand: the page that a phone keeps, and the door for what was written with it."""
