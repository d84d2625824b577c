"""What has been offered, accepted, invoiced, paid and bought, and what did the work really take?"""
