"""What holds for every test.

Examples that are drawn at random are drawn the same every time, so that a test which passed here passes elsewhere.
To look further, with fresh examples: `pytest --hypothesis-profile=fresh`.
"""

from hypothesis import settings

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("fresh", deadline=None)
settings.load_profile("same")
