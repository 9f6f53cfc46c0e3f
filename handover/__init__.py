"""One job folder in, one verified handover pack out: a small static site about a finished electrical job."""

__version__ = "0.1.0"
