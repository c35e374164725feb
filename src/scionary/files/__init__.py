"""Formats in and out: logger files, spreadsheets, labels, dome cards, symbols.

Nothing here knows of the book. Each module is imported where it is needed, because some of them load large libraries:

    loggers        temperature and humidity files of data loggers
    spreadsheets   tables in (CSV, XLSX) and out
    past_records   a grower's own records, row by row
    wishes         a grower's own wish list
    labels         label sheets as PDF
    cards          the card that hangs on a dome, as PDF
    trial_sheet    the bench sheet of a trial, as PDF
    hatching       lines that tell things apart without colour
    ring           the geometry of the ring
    symbols        two-dimensional symbols written and read
"""
