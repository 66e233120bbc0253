"""What crosses between the newcomer and the car: which ends mate, chains, fates."""
