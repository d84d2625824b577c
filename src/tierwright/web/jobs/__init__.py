"""Long work behind the pages: begun by one process, done by a worker, watched and stopped from any tab."""
