"""Paper: documents as PDF/A-3A and PDF/UA-1, their signature and time stamps, and the codes by which they are known."""
