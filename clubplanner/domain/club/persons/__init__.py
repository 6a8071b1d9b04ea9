"""What is known of a person: whom they coach, how they are recognised, how long it is kept."""
