def check(procedure):
    return []
