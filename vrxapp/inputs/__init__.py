"""What can be bought: products with their analysis and price, and the cautions they need."""
