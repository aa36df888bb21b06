"""What is on record of makes, alarms and weights in words, for terminal, paper and pages alike."""
