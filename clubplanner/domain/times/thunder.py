"""Thunder and lightning: when to go inside, and how long to stay there.

Sources: American Orthopaedic Society for Sports Medicine, Athletic Health Handbook, "Lightning"
(inside at 30 seconds from flash to thunder, 30 minutes from the last of either; a mile every five
seconds); NCAA Sports Medicine Handbook, guideline on lightning safety (everybody has reached
shelter by the time 30 seconds are counted; 30 minutes after the last thunder and the last flash).
What a referee, a governing body or the local rule asks for comes first.
"""

from __future__ import annotations

FLASH_TO_THUNDER_S = 30
"""From flash to thunder: at so many seconds or fewer everybody is inside."""
WAIT_MINUTES = 30
"""Since the last thunder or lightning, before anybody goes out again."""
SECONDS_A_KM = 3
"""That sound takes, to the whole second: five seconds a mile (see above), 343 m/s at 20 °C."""
