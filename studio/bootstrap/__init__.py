"""What stands behind manage.py: makes the environment, prepares the studio's data, serves, runs the tests.

Modules here import Django only inside functions that run once the environment exists.
"""
