"""The published tables: one CSV file each, its source in its first lines, and one reader."""
