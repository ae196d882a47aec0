"""What cells and texts mean by the words of ``words.toml``, for who drafts a mapping, loads records or reads a remark."""
