"""``python -m handover``: the same as the ``handover`` command."""

from handover.cli import main

main()
