"""Course timetabling of the second international competition: instances, mapping, validator."""
