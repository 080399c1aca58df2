"""What time and heat do to an answer: fatigue, loads that stay, a warm print, thermal strain."""
