"""The drawings: geometry first, as plain numbers; then SVG with real text."""
