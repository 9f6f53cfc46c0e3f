"""What the electrician wrote down: models, the reader with line marks, and the JSON Schema for editors."""
