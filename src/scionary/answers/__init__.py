"""One function a question: facts from the book, through an engine, to a result that says what it assumes."""
