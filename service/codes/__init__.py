"""Published codes as data, and the one evaluator that reads them.

One TOML file to a code: `[code]` says what it is and which edition, `[[table]]` keeps a printed table once,
`[[rule]]` holds a rule, `[conditions]` names a test that several rules share. `service.models.rule` has the form
of a rule, `quantities` every name it may use, `rulebook` the calls that the rest of the service makes.
"""
