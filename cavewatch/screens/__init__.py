"""The Textual dashboard: it draws the picture of the dairy and appends journal entries."""
