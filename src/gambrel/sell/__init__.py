"""From the block to the customer: codes, labels, the grinding record, stock, shares, and the way back of any pack."""
