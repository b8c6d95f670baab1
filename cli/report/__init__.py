"""Reports as files: the one content of `engine.reporting` as HTML, Word or Markdown."""
