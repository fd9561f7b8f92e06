"""The page: a small server on this computer, and what it sends to the browser.  It computes nothing itself."""
