def entries():
    return []
