"""What was found, for people to read: terminal, spreadsheet, page and paper."""
