"""Arrays in, arrays out: filters, dither, loudness, dynamics and rings; nothing here touches a file."""
