"""Paper: the whole record of an edition as ``pack.pdf``, and the owner's ``labels.pdf``.

Pages go in as the HTML bodies that the site gets, so that paper and screen cannot tell different things.
"""

from handover.pdf.label_stock import Stock, stuck_on, wanted_stocks
from handover.pdf.printing import Printing

__all__ = ["Printing", "Stock", "stuck_on", "wanted_stocks"]
