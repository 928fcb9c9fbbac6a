"""The one error of the workings: which input, what was given, what would be accepted."""


class WorkingError(Exception):
    def __init__(self, input, value, accepted, message=None):
        self.input = input
        self.value = value
        self.accepted = accepted
        self.message = message or f"{input}: {value} is not accepted here; give {accepted}."
        super().__init__(self.message)
