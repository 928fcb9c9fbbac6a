"""The one error of the workings: which input, what was given, what would be accepted."""


class WorkingError(Exception):
    """An input that makes no sense.

    input     name of the input ("working", "line", "formula" and "entry" are used for those)
    value     the value as given, as text
    accepted  what would be accepted, as text
    message   the whole sentence, ready to be shown
    """

    def __init__(self, input, value, accepted, message=None):
        self.input = input
        self.value = value
        self.accepted = accepted
        if message is None:
            message = "{}: {} is not accepted here; give {}.".format(input, value, accepted)
        self.message = message
        super().__init__(message)
