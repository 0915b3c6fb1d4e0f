"""stemwright: prep stems from recipes and get any pass back to the bit."""
