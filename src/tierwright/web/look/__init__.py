"""The finished cake on a page: turned by hand, and as a still picture for the client."""
