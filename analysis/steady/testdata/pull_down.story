# Superheat falls by 0.4 K a minute: transient, nothing to judge; a spot is shown.
on 30m sh=20 drift=-0.4
----
stay of 180 samples, 30 min running by power, 6 transient
  1 spot (1 provisional) from minute 24.8, superheat 9.1 to 9.1, period NaN s
